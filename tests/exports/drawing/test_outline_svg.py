"""The still plan, read by an XML parser that is not ours."""

from xml.etree import ElementTree as ET

import numpy as np
import pytest
import shapely

from lawnmap.exports.drawing.drawn import drawing
from lawnmap.exports.drawing.outline_svg import Sheet, plan_svg
from lawnmap.exports.drawing.zone_names import called
from tests.exports.papers import grid, paper


def svg(given, *, placed=True):
    drawn = drawing(given)
    fills = ["#ffffff"] * len(drawn.zones)
    return ET.fromstring(plan_svg(drawn, fills, placed=placed)), drawn


def test_every_zone_is_drawn_and_numbered_once():
    root, drawn = svg(paper())
    assert len(root.findall(".//path[@class='zone']")) == len(drawn.zones)
    numbers = [each.text for each in root.findall(".//text")]
    assert [each for each in numbers if each.isdigit()] == [str(n) for n in range(1, 13)]


def test_attributes_only():
    root, _ = svg(paper())
    assert all("style" not in each.attrib for each in root.iter())
    assert all(not key.startswith("on") for each in root.iter() for key in each.attrib)


def test_north_only_where_it_is_known():
    with_north, _ = svg(paper())
    without, _ = svg(paper(header={"placed": False}), placed=False)
    assert "N" in [each.text for each in with_north.findall(".//text")]
    assert "N" not in [each.text for each in without.findall(".//text")]


def test_the_scale_bar_is_as_long_as_it_says():
    root, drawn = svg(paper())
    sheet = Sheet(drawn.bounds)
    bar = next(each for each in root.iter("path") if each.get("d", "").startswith("M0 0v10h"))
    long = float(bar.get("d").split("h")[1].split("v")[0])
    said = next(each.text for each in root.findall(".//text") if each.text.endswith("\u00a0m"))
    assert long / sheet.scale == pytest.approx(float(said.removesuffix("\u00a0m")), rel=0.01)


def test_the_drawing_keeps_shapes_and_north_up():
    sheet = Sheet((0.0, 0.0, 100.0, 50.0))
    (left, low), (right, high) = sheet.place(drawing_corners())
    assert (right - left) == pytest.approx(2 * (low - high))
    assert high < low


def drawing_corners():
    return np.array([[0.0, 0.0], [100.0, 50.0]])


def test_of_very_many_zones_only_those_with_room_are_numbered():
    root, _ = svg(paper([f"z {n}" for n in range(400)], shapes=grid(400), features=False))
    drawn = root.findall(".//path[@class='zone']")
    assert sum(each.get("d").count("M") for each in drawn) == 400
    numbers = [each.text for each in root.findall(".//text") if each.text.isdigit()]
    assert len(numbers) < 100


PIXELS = 358 / 640  # of a unit, on a phone 390 pixels wide with its margins


def test_numbers_are_legible_on_a_phone_and_two_close_ones_do_not_touch():
    apart, _ = svg(paper(shapes=grid(9), names=[f"z {n}" for n in range(9)], features=False))
    sizes = [float(e.get("font-size")) for e in apart.iter("text") if e.text.isdigit()]
    assert min(sizes) * PIXELS > 11
    slim = [shapely.box(x, 0, x + 3, 60) for x in range(0, 60, 4)]
    close, _ = svg(paper([f"z {n}" for n in range(15)], shapes=slim, features=False))
    pills = [each for each in close.iter("rect") if each.get("rx")]
    (left, wide), (right, _) = sorted(
        (float(each.get("x")), float(each.get("width"))) for each in pills[-2:]
    )
    assert right - left > wide - 0.2
    sizes = [float(e.get("font-size")) for e in close.iter("text") if e.text.isdigit()]
    assert min(sizes) * PIXELS > 7


def test_a_name_stands_where_its_zone_has_room_and_nowhere_else():
    given = paper()
    drawn = drawing(given)
    fills = ["#ffffff"] * 12
    root = ET.fromstring(plan_svg(drawn, fills, placed=True, called=called(given)))
    sheet = Sheet(drawn.bounds)
    shown = [each for each in root.iter("text") if each.get("unicode-bidi") == "plaintext"]
    said = " ".join(each.text for each in shown)
    assert "Great lawn" in said
    assert "Drive verge" not in said  # 5 m wide
    for each in shown:
        x, y = float(each.get("x")), float(each.get("y"))
        inside = [
            shapely.Polygon(sheet.place(shapely.get_coordinates(zone.exterior))).contains(
                shapely.Point(x, y)
            )
            for zone in drawn.zones
        ]
        assert sum(inside) == 1


def test_a_name_of_markup_is_text_and_one_too_long_is_left_out():
    given = paper(['</text><b onload="x">', *["W" * 300] * 11])
    drawn = drawing(given)
    root = ET.fromstring(
        plan_svg(drawn, ["#ffffff"] * 12, placed=True, called=["<b>", *["W" * 300] * 11])
    )
    assert "<b>" in [each.text for each in root.iter("text")]
    assert not [each for each in root.iter("text") if "W" in each.text]
