"""The chart of surveys, read by an XML parser that is not ours."""

import datetime as dt
import re
from itertools import pairwise, product
from xml.etree import ElementTree as ET

import pytest
from shapely import LineString, box

from lawnmap.exports.survey_chart import HIGH, chart_svg
from lawnmap.processing.surveying.survey_course import Dated, course
from tests.processing.surveying.test_compare import EMPTY, frames, thatch, zone

SVG = "{http://www.w3.org/2000/svg}"
ONE = [zone("a", name="Front <lawn> & bank"), zone("b", 30, moss_rating=3, thatch_rating=4),
       *frames(60), *thatch(18, 22)]  # fmt: skip
TWO = [zone("a", name="Front <lawn> & bank"), zone("b", 30), *frames(30), *thatch(9, 11)]


def table(*sites, first=dt.date(2027, 3, 1), apart=200):
    days = [first + dt.timedelta(days=apart * number) for number in range(len(sites))]
    return course(
        [
            Dated(day.isoformat(), day, EMPTY.with_features(each))
            for day, each in zip(days, sites, strict=True)
        ]
    )


def drawn(*sites, **when):
    return ET.fromstring(chart_svg(table(*sites, **when), title="Garden"))


def test_it_has_a_title_and_says_in_words_what_it_shows():
    root = drawn(ONE, TWO)
    title, told = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-labelledby"].split() == [title.attrib["id"], told.attrib["id"]]
    assert title.text == "Moss and thatch from survey to survey: Garden"
    assert "a, moss cover: 2027-03-01 60 % (50 to 69); 2027-09-17 30 % (22 to 40)." in told.text
    assert "b, thatch: 2027-03-01 over 25 mm (rated by eye)." in told.text


def test_no_line_passes_through_a_figure():
    for looks in ((ONE, TWO), (TWO, ONE), (ONE, TWO, ONE)):
        for panel in drawn(*looks, apart=90).iter(f"{SVG}g"):
            lines = [each.attrib["d"] for each in panel.findall(f"{SVG}path")]
            places = [corners(each) for each in lines if "v" not in each and "h" not in each]
            figures = [each for each in panel.iter(f"{SVG}text") if "stroke" in each.attrib]
            for line, text in product([each for each in places if len(each) > 1], figures):
                assert not LineString(line).intersects(ground(text)), text.text


def corners(data):
    numbers = [float(each) for each in re.findall(r"[\d.]+", data)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def ground(text):
    """Return what a figure covers: digits of 12 units are about 7 wide and 9 high."""
    x, y = float(text.attrib["x"]), float(text.attrib["y"])
    foot = y + 12 * float(text.attrib["dy"].removesuffix("em"))
    return box(x, foot - 8, x + 6.5 * len(text.text), foot)


def test_attributes_only_and_nothing_from_elsewhere():
    root = drawn(ONE, TWO)
    for each in root.iter():
        assert not {"style", "href", "src"} & set(each.attrib)
        assert not any(name.startswith("on") for name in each.attrib)
        assert each.tag.removeprefix(SVG) in {
            "svg", "title", "desc", "rect", "text", "g", "line", "path", "circle",
        }  # fmt: skip


def test_a_dot_is_as_high_as_its_value():
    root = drawn(ONE, TWO)
    dots = [each for each in root.iter(f"{SVG}circle") if each.attrib["r"]][:4]
    moss = [float(each.attrib["cy"]) for each in dots[:2]]
    assert moss[1] - moss[0] == pytest.approx(HIGH * 30 / 100, abs=0.11)  # 60 % to 30 % of 100 %
    brown = [float(each.attrib["cy"]) for each in dots[2:]]
    assert len({each.attrib["cx"] for each in dots[:2]}) == 2
    # thatch goes up to 60 mm, for the interval of 18 and 22: 20 ± 12.706 · 2.828 / √2
    assert brown[1] - brown[0] == pytest.approx(HIGH * 10 / 60, abs=0.11)


def test_what_was_rated_has_no_dot():
    root = drawn([zone("b", moss_rating=3)])
    dots, bars = list(root.iter(f"{SVG}circle")), list(root.iter(f"{SVG}rect"))
    assert len(dots) == 2  # both in the key
    (bar,) = [
        each
        for each in bars
        if "stroke-dasharray" in each.attrib and each.attrib["height"] != "16.0"
    ]
    assert float(bar.attrib["height"]) == pytest.approx(HIGH * 0.25)  # 25 to 50 %


def test_names_are_text():
    text = chart_svg(table(ONE), title="<script>alert(1)</script>")
    root = ET.fromstring(text)
    assert "<script" not in text
    assert "a: Front <lawn> & bank" in [each.text for each in root.iter(f"{SVG}text")]


def test_days_close_together_are_not_written_over_one_another():
    root = drawn(ONE, TWO, [zone("a"), *frames(20)], apart=1)
    days = [each.text for each in root.iter(f"{SVG}text") if each.text.startswith("2027")]
    assert days.count("2027-03-03") == 4  # two panels each of two zones
    assert len(days) > 4
    far = drawn(*([zone("a", moss_rating=n % 5)] for n in range(40)), apart=3)
    x = sorted(
        float(each.attrib["x"])
        for each in far.iter(f"{SVG}text")
        if each.text.startswith("2027") and float(each.attrib["x"]) < 480
    )
    assert min(b - a for a, b in pairwise(x)) >= 78


def test_the_same_surveys_give_the_same_bytes():
    assert chart_svg(table(ONE, TWO), title="G") == chart_svg(table(ONE, TWO), title="G")
