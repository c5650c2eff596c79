"""GeoJSON geometry in and out, each flaw with its place."""

import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.geometry.outline import as_geojson, build, close

SQUARE = [[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]]


@pytest.mark.parametrize(
    ("kind", "coordinates", "place", "problem"),
    [
        ("Polygon", [[[0, 0], [1, 0], [float("nan"), 1], [0, 0]]], "ring 1, point 3", "finite"),
        ("Polygon", [[[0, 0], [1, 0], [True, 1], [0, 0]]], "ring 1, point 3", "not a number"),
        ("Polygon", [SQUARE, [[0, 0], [1], [1, 1], [0, 0]]], "ring 2, point 2", "two numbers"),
        ("Polygon", [SQUARE[:4]], "ring 1", "not closed"),
        ("Polygon", [SQUARE[:2] + SQUARE[:1]], "ring 1", "four points"),
        (
            "MultiPolygon",
            [[SQUARE], [[["a", 0], [1, 0], [1, 1], [0, 0]]]],
            "part 2, ring 1, point 1",
            "longitude",
        ),
        ("LineString", [[0, 0]], "", "two points"),
        ("Point", [0], "point 1", "two numbers"),
        ("Polygon", [3], "ring 1", "list of positions"),
        ("Polygon", [], "", "empty"),
        ("Circle", [[0, 0]], "", "Circle"),
    ],
)
def test_flaw_has_its_place(kind, coordinates, place, problem):
    with pytest.raises(InputRefused, match=problem) as refused:
        build({"type": kind, "coordinates": coordinates})
    assert refused.value.place == place


def test_corners_all_in_one_place_are_no_outline():
    with pytest.raises(InputRefused, match="has no area"):
        build({"type": "Polygon", "coordinates": [[[-2, 53]] * 4]})


def test_heights_are_dropped_and_repeated_points_too():
    ring = [[0, 0, 5], [1, 0, 5], [1, 0, 5], [1, 1, 5], [0, 0, 5]]
    assert shapely.get_coordinates(build({"type": "Polygon", "coordinates": [ring]})).shape == (
        4,
        2,
    )


def test_rfc_7946_polygon_with_a_hole():
    # RFC 7946, appendix A.3: both rings as printed; area 1 - 0.6² square degrees.
    outer = [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]
    hole = [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]]
    shape = build({"type": "Polygon", "coordinates": [outer, hole]})
    assert shape.area == pytest.approx(0.64)
    written = as_geojson(shape)
    assert shapely.is_ccw(shapely.LinearRing(written["coordinates"][0]))
    assert not shapely.is_ccw(shapely.LinearRing(written["coordinates"][1]))


def test_a_walked_line_is_closed_and_the_side_told():
    polygon, joined = close(shapely.LineString([(0, 0), (10, 0), (10, 10), (0, 10)]))
    assert polygon.area == 100
    assert joined.length == 10


def test_a_closed_line_gets_no_side():
    polygon, joined = close(shapely.LineString(SQUARE))
    assert polygon.area == 1
    assert joined is None


@pytest.mark.parametrize("line", [[(0, 0), (1, 1)], [(0, 0), (1, 1), (0, 0)]])
def test_too_few_points_to_close(line):
    with pytest.raises(InputRefused, match="three"):
        close(shapely.LineString(line))
