"""Cut, merge, cut out, share: nothing is gained or lost; corners nobody touched stay put."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from lawnmap.geometry import editing, ellipsoid
from lawnmap.geometry.frame import Frame

FRAME = Frame(1.9, 53.4)


def lonlat(*metres):
    return FRAME.to_lonlat(np.array(metres, dtype=float))


def outline(*metres, hole=None):
    return Polygon(lonlat(*metres), [lonlat(*hole)] if hole else [])


def area(*shapes):
    return ellipsoid.areas(np.array(shapes, dtype=object)).sum()


LAWN = outline((0, 0), (20, 0), (20, 10), (0, 10))
RIGHT = outline((20, 0), (30, 0), (30, 10), (20, 10))


def test_cut_gives_two_parts_of_the_right_size():
    large, small = editing.cut(LAWN, LineString(lonlat((15, -1), (15, 11))))
    assert area(large) == pytest.approx(150, abs=1e-4)
    assert area(small) == pytest.approx(50, abs=1e-4)
    corners = {tuple(each) for each in shapely.get_coordinates([large, small])}
    assert {tuple(each) for each in shapely.get_coordinates(LAWN)} <= corners


def test_a_line_that_ends_a_hand_short_of_the_edge_cuts_all_the_same():
    parts = editing.cut(LAWN, LineString(lonlat((5, 0.05), (6, 5), (5, 9.95))))
    assert len(parts) == 2
    assert area(*parts) == pytest.approx(area(LAWN), abs=1e-6)


@pytest.mark.parametrize("line", [[(5, 2), (5, 8)], [(-5, -5), (30, -5)], [(5, -1), (5, 5)]])
def test_a_line_that_does_not_cross(line):
    with pytest.raises(ValueError, match="from edge to edge"):
        editing.cut(LAWN, LineString(lonlat(*line)))


def test_a_line_of_no_length():
    with pytest.raises(ValueError, match="no length"):
        editing.cut(LAWN, LineString(lonlat((5, 5), (5, 5))))


@settings(deadline=None, max_examples=80)
@given(
    y=st.floats(0.5, 9.5),
    end=st.floats(0.5, 9.5),
    bend=st.tuples(st.floats(1, 19), st.floats(0.5, 9.5)),
)
def test_cutting_and_merging_give_back_the_ground(y, end, bend):
    parts = editing.cut(LAWN, LineString(lonlat((-1, y), bend, (21, end))))
    assert area(*parts) == pytest.approx(area(LAWN), abs=1e-6)
    whole = editing.merge(parts)
    assert shapely.symmetric_difference(whole, LAWN).area < 1e-18


def test_merge_closes_a_gap_of_a_centimetre_and_no_path():
    near = outline((20.01, 0), (30, 0), (30, 10), (20.01, 10))
    assert area(editing.merge([LAWN, near])) == pytest.approx(300, abs=1e-3)
    far = outline((20.6, 0), (30, 0), (30, 10), (20.6, 10))
    with pytest.raises(ValueError, match="do not touch"):
        editing.merge([LAWN, far])


def test_outlines_that_touch_at_a_corner_do_not_merge():
    diagonal = outline((20, 10), (30, 10), (30, 20), (20, 20))
    with pytest.raises(ValueError, match="do not touch"):
        editing.merge([LAWN, diagonal])


def test_a_bed_is_cut_out():
    left = editing.cut_out(LAWN, outline((4, 4), (6, 4), (6, 6), (4, 6)))
    assert len(left.interiors) == 1
    assert area(left) == pytest.approx(196, abs=1e-4)


@pytest.mark.parametrize(
    ("bed", "told"),
    [
        ([(40, 4), (60, 4), (60, 6)], "does not lie on"),
        ([(-1, -1), (21, -1), (21, 11), (-1, 11)], "nothing would be left"),
    ],
)
def test_a_bed_beside_or_over_everything(bed, told):
    with pytest.raises(ValueError, match=told):
        editing.cut_out(LAWN, outline(*bed))


def test_sharing_moves_onto_a_corner_before_an_edge():
    drawn = lonlat((20.2, 0.1), (28, 0), (28, 7), (20.15, 7))
    moved = editing.sharing(drawn, [LAWN], within_m=0.3)
    assert tuple(moved[0]) in {tuple(each) for each in shapely.get_coordinates(LAWN)}
    assert FRAME.to_metres(moved)[3] == pytest.approx([20, 7], abs=1e-6)
    assert (moved[1:3] == drawn[1:3]).all()
    assert (editing.sharing(drawn, [], 0.3) == drawn).all()


def test_a_shared_line_has_the_same_corners_on_both_sides():
    beside = outline((20, 2), (30, 2), (30, 8), (20, 8))
    filled = editing.with_corners_of(LAWN, beside)
    corners = {tuple(each) for each in shapely.get_coordinates(filled)}
    assert {tuple(each) for each in lonlat((20, 2), (20, 8))} <= corners
    assert area(filled) == pytest.approx(area(LAWN), abs=1e-6)
    assert editing.with_corners_of(filled, beside) is filled


def test_corners_are_put_into_holes_and_parts_too():
    ring = [(5, 3), (9, 3), (9, 7), (5, 7)]
    holed = outline((0, 0), (20, 0), (20, 10), (0, 10), hole=ring)
    both = shapely.MultiPolygon([holed, RIGHT])
    bed = outline((7, 3), (9, 3), (9, 7))
    filled = editing.with_corners_of(both, bed)
    assert len(shapely.get_coordinates(filled)) == len(shapely.get_coordinates(both)) + 1


@pytest.mark.parametrize(
    ("ring", "sliver"),
    [
        ([(0, 0), (20, 0), (20, 0.05), (0, 0.05)], True),
        ([(0, 0), (0.5, 0), (0.5, 0.5)], True),
        ([(0, 0), (20, 0), (20, 0.6), (0, 0.6)], False),
        ([(0, 0), (2, 0), (2, 2), (0, 2)], False),
    ],
)
def test_slivers(ring, sliver):
    assert editing.is_sliver(outline(*ring)) is sliver
