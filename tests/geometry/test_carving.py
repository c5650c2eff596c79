"""Carving: sizes, nothing lost, nothing twice, and one piece each where the ground allows it."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from lawnmap.geometry.carving import TURNS, carve

HORSESHOE = shapely.Polygon(
    [(0, 0), (30, 0), (30, 30), (20, 30), (20, 10), (10, 10), (10, 30), (0, 30)]
)
sizes = st.lists(st.floats(0.2, 5), min_size=1, max_size=9)
headings = st.floats(0, 360)


@st.composite
def lawns(draw):
    """Lawns as people draw them: a middle and corners all round at any distance."""
    radii = draw(st.lists(st.floats(2, 25), min_size=4, max_size=14))
    angles = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    return shapely.Polygon(np.column_stack([radii * np.cos(angles), radii * np.sin(angles)]))


@given(lawns(), sizes, headings)
def test_pieces_have_their_sizes_and_are_all_of_the_ground(lawn, wanted, heading):
    pieces = carve(lawn, wanted, heading)
    shares = np.array([each.area for each in pieces]) / lawn.area
    assert shares == pytest.approx(np.array(wanted) / sum(wanted), rel=1e-9)
    assert sum(each.area for each in pieces) == pytest.approx(lawn.area, rel=1e-12)
    # By points, since overlays of shapes that all but share an edge may go wrong in GEOS 3.13.
    west, south, east, north = lawn.bounds
    x, y = np.meshgrid(np.linspace(west, east, 23), np.linspace(south, north, 23))
    points = shapely.points(x.ravel(), y.ravel())
    edges = shapely.union_all([each.boundary for each in (*pieces, lawn)])
    points = points[shapely.distance(points, edges) > 1e-6]
    held = sum(shapely.contains(each, points).astype(int) for each in pieces)
    assert (held == shapely.contains(lawn, points)).all()


@given(lawns(), sizes, headings)
def test_a_convex_lawn_gives_one_piece_a_load(lawn, wanted, heading):
    pieces = carve(lawn.convex_hull, wanted, heading)
    assert {each.geom_type for each in pieces} == {"Polygon"}


@given(lawns(), sizes, headings, st.floats(0, 360))
def test_turning_lawn_and_heading_together_changes_nothing(lawn, wanted, heading, turn):
    pieces = carve(lawn.convex_hull, wanted, heading)
    turned = affinity.rotate(lawn.convex_hull, -turn, origin=(0, 0))
    again = carve(turned, wanted, heading + turn)
    for piece, other in zip(pieces, again, strict=True):
        back = affinity.rotate(other, turn, origin=(0, 0))
        assert shapely.hausdorff_distance(back.boundary, piece.boundary) < 1e-6


@pytest.mark.parametrize("heading", [0, 37, 90, 200])
def test_a_horseshoe_does_not_fall_apart(heading):
    pieces = carve(HORSESHOE, [1] * 7, heading)
    assert {each.geom_type for each in pieces} == {"Polygon"}
    assert [each.area for each in pieces] == pytest.approx([100] * 7)


def test_a_hole_is_in_no_piece():
    ring = shapely.box(0, 0, 20, 10).difference(shapely.box(8, 3, 12, 7))
    pieces = carve(ring, [3, 1, 2], 90)
    assert shapely.union_all(pieces).area == pytest.approx(200 - 16)
    assert [each.area for each in pieces] == pytest.approx([92, 184 / 6, 184 / 3])


def test_ground_in_two_places_is_worked_place_by_place():
    both = shapely.MultiPolygon([shapely.box(40, 0, 50, 10), shapely.box(0, 0, 10, 10)])
    pieces = carve(both, [1, 1, 1, 1], 0)
    assert [round(each.centroid.x, 6) for each in pieces] == [2.5, 7.5, 42.5, 47.5]


def test_a_load_that_ends_one_place_begins_the_next():
    both = shapely.MultiPolygon([shapely.box(0, 0, 10, 10), shapely.box(40, 0, 50, 10)])
    _, middle, _ = carve(both, [3, 2, 3], 0)
    assert middle.geom_type == "MultiPolygon"
    assert middle.bounds == pytest.approx((7.5, 0, 42.5, 10))


def test_no_ground_of_no_size():
    assert carve(shapely.box(0, 0, 1, 1), []) == []
    with pytest.raises(ValueError, match="above zero"):
        carve(shapely.box(0, 0, 1, 1), [1, 0])


def test_a_lawn_of_many_corners_is_not_cut_to_measure_it(monkeypatch):
    angles = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    radii = 20 + np.sin(40 * angles)
    lawn = shapely.Polygon(np.column_stack([radii * np.cos(angles), radii * np.sin(angles)]))
    calls, cut = [], shapely.intersection
    monkeypatch.setattr(shapely, "intersection", lambda *given: calls.append(given) or cut(*given))
    pieces = carve(lawn, [1, 2, 3], 30)
    assert [each.area / lawn.area for each in pieces] == pytest.approx([1 / 6, 2 / 6, 3 / 6])
    assert len(calls) <= 2 * len(TURNS)  # one for each way that was tried
