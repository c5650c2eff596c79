"""The plan at true scale, measured by programs that are not ours: Chromium and PDFium."""

import re
from xml.etree import ElementTree as ET

import pypdfium2
import pytest
import shapely

from lawnmap.exports.scaled import plan
from tests.exports.papers import grid, paper

S = "{http://www.w3.org/2000/svg}"
MM_PT, MM_PX = 72 / 25.4, 96 / 25.4


def root(data):
    return ET.fromstring(data)


def texts(data):
    return ["".join(each.itertext()) for each in root(data).iter(f"{S}text")]


def plain(words):
    return words.replace("\u00a0", " ").replace("\u202f", " ")


def side(given):
    """Return width and height on paper [mm] of the first zone, from the file as it stands."""
    found = root(plan.render(given))
    group = found.find(f"{S}g")
    step = float(re.fullmatch(r"scale\((.+)\)", group.get("transform"))[1])
    zone = next(each for each in found.iter(f"{S}path") if each.get("class") == "zone")
    at = [tuple(map(float, each)) for each in re.findall(r"([\d.]+) ([\d.]+)", zone.get("d"))]
    xs, ys = zip(*at, strict=True)
    return (max(xs) - min(xs)) * step, (max(ys) - min(ys)) * step


@pytest.mark.parametrize(("scale", "wide", "high"), [(100, 100, 50), (200, 50, 25), (500, 20, 10)])
def test_ten_metres_are_as_many_millimetres_as_the_scale_says(scale, wide, high):
    given = paper(["Lawn"], shapes=[shapely.box(0, 0, 10, 5)], features=False, scale=scale)
    # The frame's own ground is checked against GeographicLib elsewhere; to a hundredth of 1 mm.
    assert side(given) == pytest.approx((wide, high), abs=0.01)


@pytest.mark.browser
def test_chromium_and_pdfium_measure_what_the_scale_says(opened, tmp_path):
    given = paper(["Lawn"], shapes=[shapely.box(0, 0, 10, 5)], features=False, scale=200)
    path = tmp_path / "plan.svg"
    path.write_bytes(plan.render(given))
    seen = opened(b"<!doctype html><title>x</title>")
    page = seen.page
    page.goto(path.as_uri())
    ends = page.evaluate(
        """() => { const zone = document.querySelector('path.zone'), box = zone.getBBox(),
        to = zone.getScreenCTM(); return [box.width * to.a, box.height * to.d] }"""
    )
    assert [each / MM_PX for each in ends] == pytest.approx([50, 25], abs=0.02)
    page.pdf(path=tmp_path / "plan.pdf", width="297mm", height="210mm")
    sheet = pypdfium2.PdfDocument(tmp_path / "plan.pdf")[0]
    assert sheet.get_size() == pytest.approx((297 * MM_PT, 210 * MM_PT), abs=0.76)  # 1 px
    sizes = []
    for each in sheet.get_objects(max_depth=8):
        left, bottom, right, top = each.get_bounds()
        sizes.append(((right - left) / MM_PT, (top - bottom) / MM_PT))
    # The zone is drawn with a stroke of a quarter of a millimetre about its outline.
    assert [size for size in sizes if size == pytest.approx((50, 25), abs=0.3)]
    assert seen.console == []


def test_the_scale_stands_on_it_in_words_and_as_a_bar():
    data = plan.render(paper(scale=1000))
    assert any("1:1000 on paper of 297 × 210 mm" in each for each in texts(data))
    boxes = [each for each in root(data).iter(f"{S}rect") if each.get("height") == "1.6"]
    long = sum(float(each.get("width")) for each in boxes)
    figures = [each for each in texts(data) if re.fullmatch(r"\d+", each)]
    assert long == pytest.approx(50)  # 50 m at 1:1000
    assert {"0", "25", "50"} <= set(figures)


def test_another_reader_gets_a_bar_in_feet():
    shown = texts(plan.render(paper(scale=1000, units="us")))
    assert "ft" in shown
    assert "m" not in shown


def test_title_issue_day_north_legend_and_names_are_there():
    shown = [plain(each) for each in texts(plan.render(paper()))]
    title, about = shown[shown.index("Hollin Court") :][:2]
    assert title == "Hollin Court"
    assert about.startswith("Issued: 3f2a9c41d07e of 2 August 2027 · for the client")
    assert "worked out for Monday 2 August 2027" in about
    assert {"N", "Water", "Hedge", "Moss: 25 to 50 %", "Moss: not looked at"} <= set(shown)
    assert any(each.startswith("Great lawn, ") and each.endswith(" m²") for each in shown)


def test_without_a_place_there_is_no_north():
    assert "N" not in texts(plan.render(paper(header={"placed": False})))


def test_the_outlines_of_very_many_zones_are_as_exact():
    given = paper([f"Lawn {n}" for n in range(301)], shapes=grid(301), features=False)
    found = root(plan.render(given.of(sheet="A3", scale=2000)))
    drawn = [each.get("d") for each in found.iter(f"{S}path") if each.get("class") == "zone"]
    corners = [re.findall(r"([\d.]+) ([\d.]+)", each) for one in drawn for each in one.split("z")]
    sides = {
        round(max(float(x) for x, _ in each) - min(float(x) for x, _ in each), 1)
        for each in corners
        if each
    }
    assert sides == {round(8 * plan.FINE * 1000 / 2000, 1)}  # each is 8 m wide


def test_many_zones_have_their_names_on_another_paper():
    shown = texts(plan.render(paper([f"Lawn {n}" for n in range(100)], shapes=grid(100))))
    assert "100 zones: see the job sheet" in shown
    assert not [each for each in shown if each.startswith("Lawn ")]


def test_what_is_drawn_lies_on_the_paper_and_beside_the_legend():
    for sheet in ("A4", "A3", "Letter"):
        found = root(plan.render(paper(sheet=sheet)))
        width = float(found.get("width").removesuffix("mm"))
        assert found.get("viewBox") == f"0 0 {width:g} {found.get('height').removesuffix('mm')}"
        window = found.find(f".//{S}clipPath[@id='window']/{S}rect")
        at = {name: float(window.get(name)) / plan.FINE for name in ("x", "y", "width", "height")}
        assert at["x"] >= 10
        assert at["x"] + at["width"] <= width - 9.99


def test_it_holds_no_style_no_script_and_no_address_but_its_own_name():
    data = plan.render(paper()).decode()
    found = root(data)
    for each in found.iter():
        assert each.tag.removeprefix(S) not in {"style", "script", "a", "image", "use"}
        assert not {"style", "href"} & set(each.attrib)
    assert re.findall(r"https?://[^\s\"']+", data) == ["http://www.w3.org/2000/svg"]


def test_of_a_schematic_it_tells_no_position():
    data = plan.render(paper(schematic=True)).decode()
    assert not re.findall(r"5[45]\.\d{4,}", data)  # the site lies at 55° north
