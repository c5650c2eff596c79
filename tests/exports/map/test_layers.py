"""Worked-out layers on the map: named, switched by the visitor, drawn where they lie."""

import io
import re
from dataclasses import replace

import geopandas as gpd
import numpy as np
import pytest
import shapely
from PIL import Image

from lawnmap.exports.drawing.layers import layers, of_grids
from lawnmap.exports.map.page import render
from lawnmap.grids import GridMap
from lawnmap.model import LONLAT
from tests.exports.papers import FRAME, paper

browser = pytest.mark.browser
WORDS = ("Pass lines", "second pass", "Ground of each load", "Filled up here", "Something else")


def layer(shapes, **columns):
    on_earth = list(FRAME.round(np.array(shapes, dtype=object)))
    return gpd.GeoDataFrame(columns, geometry=on_earth, crs=LONLAT)


FOUND = {
    "lawn": layer([shapely.box(0, 0, 5, 5)]),
    "bouts": layer(
        [shapely.LineString([(1, y), (30, y)]) for y in (2, 4, 6)]
        + [shapely.LineString([(x, 1), (x, 20)]) for x in (3, 6)],
        zone_id="front-west",
        operation="scarifying",
        part=["headland", "bout", "bout", "bout", "bout"],
        number=[1, 1, 2, 1, 2],
        **{"pass": [1, 1, 1, 2, 2]},
    ),
    "load_areas": layer(
        [shapely.box(42, 0, 60, 20), shapely.box(60, 0, 60.4, 20), shapely.Polygon()],
        zone_id="front-east",
        operation="iron_soluble",
        load=[1, 2, 3],
        amount=[50.0, 12.5, 1.0],
        unit="g",
        water_l=[10.0, 2.5, 0.2],
    ),
    "refills": layer([shapely.Point(42, 5)], zone_id=["front-east"]),
    "of_a_plugin": layer([shapely.box(84, 0, 90, 5)], a_word=["<b>x</b>"]),
}
SUN = GridMap(
    np.array([[1.0, 5.0], [9.0, np.nan]], dtype=np.float32),
    tuple(FRAME.to_lonlat(np.array([[84.0, 30.0], [112.0, 52.0]])).ravel().tolist()),
)


def page_of(**given):
    """Return the map of an invented plan with layers."""
    made = paper(**{"features": False} | {k: v for k, v in given.items() if k == "features"})
    more = {k: v for k, v in given.items() if k != "features"}
    return render(made.of(plan=replace(made.plan, **more)))


def labels(found):
    return [each.label for each in found]


def test_each_part_has_its_name_and_look():
    found = layers(FOUND, FRAME)
    assert [each.look for each in found] == ["bouts 1", "bouts 2", "load_areas", "refills", "layer"]
    assert len(set(labels(found))) == len(found)
    assert labels(found)[-1] == "of a plugin"
    for each, word in zip(labels(found), WORDS[:4], strict=False):
        assert word in each


def test_what_has_no_extent_is_not_drawn_and_not_marked():
    loads = layers(FOUND, FRAME)[2]
    assert len(loads.shapes) == 2
    assert [each.text for each in loads.marks] == ["1", "2"]
    assert loads.marks[0].room_m == pytest.approx(9, abs=0.1)  # half of 18 m
    assert loads.marks[1].room_m == pytest.approx(0.2, abs=0.01)
    assert loads.marks[1].more.replace("\xa0", " ") == "13 g, 2.5 l"
    american = layers(FOUND, FRAME, "us")[2].marks[0].more.replace("\xa0", " ")
    assert american == "1.76 oz, 2.64 US gal"


def test_a_start_stands_where_the_first_bout_between_headlands_begins():
    first, second = layers(FOUND, FRAME)[:2]
    assert [(round(each.east), round(each.north)) for each in first.marks] == [(1, 4)]
    assert [(round(each.east), round(each.north)) for each in second.marks] == [(3, 1)]


def test_columns_that_a_reader_may_not_see_part_nothing():
    cut = {"bouts": FOUND["bouts"][["zone_id", "part", "number", "pass", "geometry"]]}
    assert labels(layers(cut, FRAME)) == [
        "Pass lines (▸ where to start): first pass",
        "Pass lines (▸ where to start): second pass",
    ]
    bare = {"load_areas": FOUND["load_areas"][["geometry"]]}
    (only,) = layers(bare, FRAME)
    assert not only.marks


def test_the_sun_has_a_key_of_the_classes_that_occur():
    (sun,) = of_grids({"sun": [SUN]})
    assert [each.label.replace("\xa0", " ") for each in sun.key] == [
        "under 2 h", "4 to 6 h", "8 to 10 h",
    ]  # fmt: skip
    assert of_grids({"sun": []}) == ()


def test_the_same_paper_gives_the_same_page_twice_and_a_plugins_words_are_no_markup():
    page = page_of(features=True, layers=FOUND, grids={"sun": (SUN,)})
    assert page == page_of(features=True, layers=FOUND, grids={"sun": (SUN,)})
    assert b"<b>x</b>" not in page


def test_with_scripts_blocked_only_what_is_shown_stands_on_the_plan():
    page = page_of(layers=FOUND, grids={"sun": (SUN,)}).decode()
    drawn = re.search(r'<svg class="plan".*?</svg>', page, re.DOTALL)[0]
    assert drawn.count('stroke="#8c2f1b"') == 1  # the plugin's
    assert page.count("checked") >= 1


@browser
def test_the_visitor_switches_layers(opened):
    page = opened(page_of(layers=FOUND, grids={"sun": (SUN,)})).page
    boxes = page.locator(".layers input")
    assert boxes.count() == 6
    assert [boxes.nth(place).is_checked() for place in range(6)] == [False] * 4 + [True, False]
    lines = page.locator("#map_lawnmap path[stroke='#7a3fa0']")
    marks = page.locator("#map_lawnmap .layer-mark")
    assert lines.count() == 0
    page.get_by_label("second pass").check()
    assert lines.count() == 1
    assert marks.all_text_contents() == ["▸2"]
    page.get_by_label("second pass").uncheck()
    assert (lines.count(), marks.count()) == (0, 0)


@browser
def test_a_narrow_load_is_marked_when_there_is_room(opened):
    page = opened(page_of(layers=FOUND)).page
    page.get_by_label("Ground of each load").check()
    marks = page.locator("#map_lawnmap .layer-mark")
    assert [each.replace("\xa0", " ") for each in marks.all_text_contents()] == ["1: 50 g, 10 l"]
    page.evaluate("map_lawnmap.setZoom(map_lawnmap.getZoom() - 1, { animate: false })")
    assert marks.all_text_contents() == ["1"]
    page.evaluate("map_lawnmap.setZoom(map_lawnmap.getZoom() + 6, { animate: false })")
    shown = [each.replace("\xa0", " ") for each in sorted(marks.all_text_contents())]
    assert shown == ["1: 50 g, 10 l", "2"]  # the narrow one has room for its number only


@browser
def test_views_bring_their_layers_and_leave_alone_what_was_switched_by_hand(opened):
    shown = opened(page_of(layers=FOUND, grids={"sun": (SUN,)}))
    page = shown.page
    view = page.locator(".chooser label")
    view.filter(has_text="Setting out").click()
    assert page.get_by_label("first pass").is_checked()
    assert page.locator("path.zone").first.get_attribute("fill") == "#ffffff"
    page.get_by_label("Filled up here").uncheck()
    view.filter(has_text="Condition").click()
    view.filter(has_text="Sun").click()
    assert page.locator("#map_lawnmap img").count() == 1
    assert not page.get_by_label("first pass").is_checked()
    view.filter(has_text="Setting out").click()
    assert not page.get_by_label("Filled up here").is_checked()
    assert page.locator("#map_lawnmap img").count() == 0
    assert shown.console == []
    assert len(shown.requests) == 1


@browser
def test_a_tap_goes_through_a_layer_to_the_zone(opened):
    page = opened(page_of(layers=FOUND)).page
    page.get_by_label("Ground of each load").check()
    ((lon, lat),) = FRAME.to_lonlat(np.array([[50.0, 15.0]])).tolist()
    x, y = page.evaluate(
        "at => { const p = map_lawnmap.latLngToContainerPoint(at); return [p.x, p.y]; }", [lat, lon]
    )
    page.locator("#map_lawnmap").click(position={"x": x, "y": y})
    assert "Front lawn, east" in page.locator(".panel").inner_text()


@browser
def test_the_sun_lies_where_it_was_counted(opened):
    page = opened(page_of(grids={"sun": (SUN,)})).page
    page.get_by_label("Sun:").check()
    page.wait_for_timeout(600)
    shot = Image.open(io.BytesIO(page.locator("#map_lawnmap").screenshot())).convert("L")
    grey = []
    for east, north in ((86.0, 48.0), (110.0, 48.0), (86.0, 33.0)):  # 1 h, 5 h, 9 h
        ((lon, lat),) = FRAME.to_lonlat(np.array([[east, north]])).tolist()
        x, y = page.evaluate(
            "at => { const p = map_lawnmap.latLngToContainerPoint(at); return [p.x, p.y]; }",
            [lat, lon],
        )
        grey.append(shot.getpixel((round(x), round(y))))
    assert grey == sorted(grey)
    assert grey[2] - grey[0] > 40


@browser
def test_paper_names_only_the_layers_that_are_on(opened):
    page = opened(page_of(layers=FOUND)).page
    page.get_by_label("second pass").check()
    page.emulate_media(media="print")
    listed = page.locator(".layers li")
    shown = [listed.nth(place).inner_text() for place in range(5) if listed.nth(place).is_visible()]
    assert [" ".join(each.split()) for each in shown] == [
        "Pass lines (▸ where to start): Scarifying, second pass",
        "of a plugin",
    ]
