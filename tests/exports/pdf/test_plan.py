"""The plan on paper: the same outlines, colours, numbers and hatches as on the page."""

import io
import re

import pypdf
import pytest

from lawnmap.exports.drawing import hatches
from lawnmap.exports.drawing.drawn import drawing
from lawnmap.exports.drawing.outline_svg import plan_svg
from lawnmap.exports.pdf.tree import read
from lawnmap.pages.escape import tag
from tests.exports.papers import grid, paper
from tests.exports.pdf.pages import by_pypdf, made

FILL = "#123456"
COLOUR = " ".join(f"{int(FILL[at : at + 2], 16) / 255:.3f}" for at in (1, 3, 5))


def plan(fill, **given):
    drawn = drawing(paper(**given))
    return plan_svg(drawn, [fill] * len(drawn.zones), placed=True), len(drawn.zones)


def content(pdf):
    return pypdf.PdfReader(io.BytesIO(pdf)).pages[0].get_contents().get_data().decode("latin-1")


def test_every_zone_is_filled_once_with_its_own_corners():
    svg, count = plan(FILL)
    filled = re.findall(rf"q {COLOUR} rg .*? B\* Q", content(made(svg)))
    assert len(filled) == count
    paths = [x.attributes["d"] for x in read(svg.encode()).walk() if "zone" in x.classes]
    assert [each.count(" l") for each in filled] == [
        len(re.findall(r"\S+ \S+", each)) - each.count("M") for each in paths
    ]


def test_every_shape_of_the_plan_is_drawn():
    svg, _ = plan(FILL, features=True)
    tree = read(svg.encode())
    shapes = [x for x in tree.walk() if x.name in ("path", "rect", "circle")]
    window = len(tree.first("clippath").elements)
    painted = re.findall(r" (?:B\*?|f\*?|S)(?= Q|\n)", content(made(svg)))
    foot = 1  # the line above what stands at the foot of a page
    assert len(painted) == len(shapes) - window + foot


def test_each_zone_has_its_number():
    svg, count = plan("#ffffff", shapes=grid(12))
    words = by_pypdf(made(svg))[0].split()
    assert [str(each) in words for each in range(1, count + 1)] == [True] * count


def test_a_hatch_is_drawn_as_lines_inside_its_zone():
    svg, count = plan("url(#moss-3)")
    text = content(made(hatches.definitions(), svg))
    clips = re.findall(r"h W\* n\n(.*?)\nQ", text, re.DOTALL)
    assert len(clips) == count
    assert all(len(re.findall(r"\bm\b", each)) > 10 and each.endswith("S Q") for each in clips)


def test_a_shape_of_an_unknown_hatch_is_drawn_empty():
    svg, count = plan("url(#nowhere)")
    assert len(re.findall(r" S Q", content(made(svg)))) >= count


@pytest.mark.parametrize("landscape", [False, True])
def test_a_plan_keeps_its_proportions(landscape):
    square = tag("rect", x=0, y=0, width=100, height=100, fill=FILL)
    svg = tag("svg", square, viewBox="0 0 100 200")
    found = re.search(rf"{COLOUR} rg (.*?) f Q", content(made(svg, landscape=landscape)))[1]
    x = [float(each) for each in re.findall(r"(\S+) \S+ [ml]", found)]
    y = [float(each) for each in re.findall(r"\S+ (\S+) [ml]", found)]
    assert max(x) - min(x) == pytest.approx(max(y) - min(y), abs=0.05)
