"""Outlines changed by hand keep their ground and their facts."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from lawnmap.errors import InputRefused
from lawnmap.geometry.ellipsoid import areas
from lawnmap.processing.editing import marking
from lawnmap.processing.editing.marking import OnMap
from lawnmap.processing.records.recorded import handed_down
from tests.processing.sites import FRAME
from tests.web.desks import feature, place, square, zone


def area(made):
    return float(areas(np.array([shapely.geometry.shape(made["geometry"])]))[0])


@given(st.floats(0.5, 9.5), st.floats(0.5, 9.5))
def test_the_parts_of_a_cut_are_the_whole(left, right):
    whole = zone("front", photos=["photos/a.webp"])
    line = LineString([place(-0.05, left), place(10.05, right)])
    parts = marking.cut(whole, "front", line, {"front-2"})
    assert sum(map(area, parts.values())) == pytest.approx(area(whole), abs=1e-4)
    assert not parts.keys() & {"front", "front-2"}
    for part in parts.values():
        assert part["properties"]["photos"] == ["photos/a.webp"]
        assert shapely.geometry.shape(part["geometry"]).exterior.is_ccw
    made, asks = marking.merge(parts, {"front"})
    (again,) = made.values()
    assert area(again) == pytest.approx(area(whole), abs=1e-4)
    assert [each.name for each in asks] == ["name"]
    assert again["properties"]["photos"] == ["photos/a.webp"]


def test_a_zone_cut_twice_and_merged_again_keeps_the_past_of_every_zone_before_it():
    across = LineString([place(5, -1), place(5, 11)])
    halves = marking.cut(zone("front"), "front", across, set())
    west, east = halves
    along = LineString([place(-1, 5), place(11, 5)])
    quarters = marking.cut(halves[west], west, along, set(halves))
    north, south = quarters
    assert quarters[north]["properties"]["came_from"] == f"{west} front"
    (whole, made), = marking.merge({north: quarters[north], east: halves[east]}, {"front", west})[
        0
    ].items()  # fmt: skip
    assert made["properties"]["came_from"] == f"{north} {east} {west} front"
    there = {whole: made["properties"]["came_from"], south: f"{west} front"}
    record = [
        {"record_id": name, "operation": "iron_liquid", "date": "2026-09-14", "zone_id": name}
        for name in ("front", west, north, east, south)
    ]
    found = {(row["record_id"], row["zone_id"]) for row in handed_down(record, there)}
    assert found == {
        ("front", whole), ("front", south), (west, whole), (west, south),
        (north, whole), (east, whole), (south, south),
    }  # fmt: skip


def test_a_thing_that_is_no_zone_is_cut_under_made_up_keys():
    bed = feature("bed", square(0, 0), name="Roses")
    parts = marking.cut(bed, "f1", LineString([place(5, -1), place(5, 11)]), {"f2"})
    assert list(parts) == ["f3", "f4"]
    assert parts["f3"]["properties"] == {"feature": "bed", "name": "Roses 1"}


def test_an_id_or_box_of_the_old_feature_is_not_that_of_the_new():
    old = {**zone("front"), "id": 4, "bbox": [0, 0, 1, 1], "seen": "kept"}
    parts = marking.cut(old, "front", LineString([place(5, -1), place(5, 11)]), set())
    for part in parts.values():
        assert set(part) == {"type", "properties", "geometry", "seen"}


def test_only_like_is_merged_with_like():
    with pytest.raises(OnMap, match="one kind"):
        marking.merge({"a": zone("a"), "f1": feature("bed", square(10, 0))}, set())
    with pytest.raises(OnMap, match="one kind"):
        marking.merge({"a": zone("a")}, set())


def test_a_bed_that_crosses_itself_is_told_with_its_place():
    bow = Polygon([place(1, 1), place(3, 3), place(3, 1), place(1, 3)])
    with pytest.raises(OnMap) as caught:
        marking.cut_out(zone("front"), "front", bow)
    assert caught.value.more["at"] == pytest.approx(place(2, 2))


def test_lines_and_points_share_a_neighbours_line():
    fence = {
        "type": "Feature",
        "properties": {"feature": "fence"},
        "geometry": {"type": "LineString", "coordinates": [place(10.05, 2), place(20, 2)]},
    }
    found = marking.share(fence, "f1", {"front": zone("front")}, 0.2)
    assert list(found) == ["f1"]
    (lon, _), _ = found["f1"]["geometry"]["coordinates"]
    assert lon == pytest.approx(place(10, 2)[0], abs=1e-9)


@pytest.mark.parametrize(
    "given",
    [
        None, {}, {"properties": {}}, {"properties": {}, "geometry": None},
        {"properties": {}, "geometry": {"type": "Polygon", "coordinates": []}},
        {"properties": {}, "geometry": {"type": "Circle", "coordinates": [0, 0]}},
        {"properties": {}, "geometry": {"type": "Point", "coordinates": [181, 0]}},
        {"properties": {}, "geometry": {"type": "Polygon", "coordinates": [[[0, 0], [1, 1]]]}},
    ],
)  # fmt: skip
def test_what_has_no_shape_is_refused(given):
    with pytest.raises(InputRefused):
        marking.shape_of(given)


def test_an_outline_too_fine_to_work_on_is_refused():
    disc = shapely.transform(shapely.Point(0, 0).buffer(9, 2_000), FRAME.to_lonlat)
    fine = {**zone("fine"), "geometry": shapely.geometry.mapping(disc)}
    assert marking.outline_of(fine).area > 0
    with pytest.raises(OnMap, match="8,001 corners"):
        marking.cut(fine, "fine", LineString([place(0, 0), place(1, 1)]), set())
