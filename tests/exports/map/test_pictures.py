"""Plan pictures under the zones: drawn at the right place, switched off, and never unasked."""

import io

import numpy as np
import pytest
from PIL import Image

from lawnmap.exports.map.page import render
from tests.exports.papers import FRAME, paper

browser = pytest.mark.browser
WEST, SOUTH, EAST, NORTH = 26.0, 29.0, 54.0, 41.0  # metres: a gap between the zones
COLOURS = {"upper left": (220, 30, 30), "lower right": (30, 30, 220)}


def picture():
    """Return a picture in four quarters, two of them clear, and its bounds."""
    image = Image.new("RGBA", (280, 120), (0, 0, 0, 0))
    image.paste((*COLOURS["upper left"], 255), (0, 0, 140, 60))
    image.paste((*COLOURS["lower right"], 255), (140, 60, 280, 120))
    stream = io.BytesIO()
    image.save(stream, "WEBP", lossless=True)
    corners = FRAME.to_lonlat(np.array([[WEST, SOUTH], [EAST, NORTH]]))
    return stream.getvalue(), tuple(corners.ravel().tolist())


def seen(page, east, north, *, flat=False):
    """Return the colour on the screen at a place in metres."""
    ((lon, lat),) = FRAME.to_lonlat(np.array([[east, north]])).tolist()
    at = [north, east] if flat else [lat, lon]
    x, y = page.evaluate(
        "at => { const p = map_lawnmap.latLngToContainerPoint(at); return [p.x, p.y]; }", at
    )
    shot = Image.open(io.BytesIO(page.locator("#map_lawnmap").screenshot()))
    return shot.convert("RGB").getpixel((round(x), round(y)))


def test_there_is_none_unless_the_paper_has_one():
    assert b"image/webp" not in render(paper(features=False))
    assert b"image/webp" in render(paper(features=False, pictures=(picture(),)))


def test_it_is_the_same_twice():
    made = paper(features=False, pictures=(picture(),))
    assert render(made) == render(made)


@browser
@pytest.mark.parametrize(("width", "height"), [(1280, 800), (390, 844)])
@pytest.mark.parametrize("placed", [True, False])
def test_it_is_drawn_where_it_lies(opened, width, height, placed):
    header = {"placed": placed}
    data = render(paper(features=False, pictures=(picture(),), header=header))
    shown = opened(data, width=width, height=height)
    page = shown.page
    page.wait_for_timeout(600)  # longer than any animation
    assert shown.console == []
    assert len(shown.requests) == 1
    image = page.locator("#map_lawnmap img")
    assert image.evaluate("one => one.complete && one.naturalWidth") == 280
    # A metre inside and outside of every edge: closer than anybody sees on such a map.
    flat = not placed
    red, blue = COLOURS["upper left"], COLOURS["lower right"]
    middle_x, middle_y = (WEST + EAST) / 2, (SOUTH + NORTH) / 2
    for east, north in ((WEST + 1, NORTH - 1), (middle_x - 1, middle_y + 1)):
        assert seen(page, east, north, flat=flat) == pytest.approx(red, abs=20)
    for east, north in ((EAST - 1, SOUTH + 1), (middle_x + 1, middle_y - 1)):
        assert seen(page, east, north, flat=flat) == pytest.approx(blue, abs=20)
    for east, north in ((WEST - 1, NORTH - 1), (EAST + 1, SOUTH + 1), (WEST + 1, NORTH + 1)):
        assert min(seen(page, east, north, flat=flat)) > 200
    assert min(seen(page, middle_x + 1, middle_y + 1, flat=flat)) > 200  # a clear quarter


@browser
def test_it_is_switched_off_by_mouse_and_by_keyboard(opened):
    page = opened(render(paper(features=False, pictures=(picture(),)))).page
    zone = page.locator("path.zone.leaflet-interactive").first
    assert zone.get_attribute("fill-opacity") == "0.6"
    switch = page.get_by_label("Plan picture")
    switch.uncheck()
    assert page.locator("#map_lawnmap img").count() == 0
    assert zone.get_attribute("fill-opacity") == "1"
    switch.focus()
    page.keyboard.press("Space")
    assert page.locator("#map_lawnmap img").count() == 1
    assert page.locator("#map_lawnmap img").get_attribute("alt") == "Plan picture"
    page.get_by_label("Sun", exact=True).check(force=True)
    assert zone.get_attribute("fill-opacity") == "0.6"  # colours change, what is under them stays


@browser
def test_without_a_picture_there_is_no_switch(opened):
    assert opened(render(paper())).page.get_by_label("Plan picture").count() == 0
