"""The still plan, read by an XML parser that is not ours."""

from xml.etree import ElementTree as ET

import pytest

from lawnmap.exports.drawing.drawn import drawing
from lawnmap.exports.drawing.outline_svg import Sheet, plan_svg
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
    import numpy as np

    return np.array([[0.0, 0.0], [100.0, 50.0]])


def test_of_very_many_zones_only_those_with_room_are_numbered():
    root, _ = svg(paper([f"z {n}" for n in range(400)], shapes=grid(400), features=False))
    assert len(root.findall(".//path[@class='zone']")) == 400
    numbers = [each.text for each in root.findall(".//text") if each.text.isdigit()]
    assert len(numbers) < 100
