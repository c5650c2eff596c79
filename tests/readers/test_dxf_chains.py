"""Loose lines joined end to end."""

import math

import numpy as np
import pytest

from lawnmap.readers.dxf.chains import join
from tests.readers.drawings import areas, new, shapes, told


def lines(*pairs):
    return [np.array(pair, dtype=float) for pair in pairs]


SIDES = [((0, 0), (10, 0)), ((10, 5), (10, 0)), ((10, 5), (0, 5)), ((0, 0), (0, 5))]


def test_sides_in_any_direction_and_order_make_a_ring():
    joined = join(lines(*(SIDES[n] for n in (2, 0, 3, 1))), 0.0)
    assert [(ring.area, first) for ring, first in joined.rings] == [(50, 0)]
    assert (joined.lines, joined.gaps) == ([], [])


def test_a_gap_in_reach_is_closed_and_told():
    joined = join(lines(*SIDES[:3], ((0.004, 0.003), (0, 5))), 0.01)
    (ring,) = [ring for ring, _ in joined.rings]
    assert ring.area == pytest.approx(50, rel=1e-3)
    ((size, at, closed),) = joined.gaps
    assert (size, closed) == (pytest.approx(0.005), True)
    assert at == pytest.approx((0.002, 0.0015))


def test_a_wider_gap_is_left_open_and_told():
    joined = join(lines(*SIDES[:3], ((0.04, 0.03), (0, 5))), 0.01)
    assert joined.rings == []
    assert len(joined.lines) == 1
    ((size, at, closed),) = joined.gaps
    assert (size, closed) == (pytest.approx(0.05), False)
    assert at == pytest.approx((0.02, 0.015))


def test_the_ends_of_a_fence_are_no_gap():
    joined = join(lines(((0, 0), (10, 0)), ((10, 0), (10, 5))), 0.01)
    assert [line.length for line, _ in joined.lines] == [15]
    assert joined.gaps == []


def test_beds_that_share_a_side_are_two_rings():
    joined = join(lines(*SIDES, ((10, 0), (16, 0)), ((16, 0), (16, 5)), ((16, 5), (10, 5))), 0.0)
    assert sorted(ring.area for ring, _ in joined.rings) == [30, 50]


def test_a_ring_in_a_ring_makes_no_hole():
    inner = [tuple((x / 10 + 2, y / 10 + 2) for x, y in side) for side in SIDES]
    joined = join(lines(*SIDES, *inner), 0.0)
    assert sorted(ring.area for ring, _ in joined.rings) == pytest.approx([0.5, 50])


def test_a_side_drawn_twice_and_a_side_of_no_length_do_no_harm():
    joined = join(lines(*SIDES, SIDES[0][::-1], ((3, 3), (3, 3))), 0.0)
    assert [ring.area for ring, _ in joined.rings] == [50]
    assert joined.lines == []


def test_nothing_comes_of_nothing():
    assert join([], 1.0) == ([], [], [])


def test_lines_and_arcs_of_a_drawing(tmp_path):
    """A slot: two sides of 10 and two half circles of radius 2."""
    document, model = new()
    model.add_line((0, 0), (10, 0))
    model.add_line((10, 4), (0, 4.003))
    model.add_arc((10, 2), 2, 270, 90)
    model.add_arc((0, 2), 2, 90, 270)
    model.add_lwpolyline([(100, 0), (110, 0), (110, 10), (100, 10), (100, 0)])  # not flagged closed
    answer = told(document, tmp_path)
    assert sorted(areas(answer)) == pytest.approx([40 + math.pi * 4, 100], abs=0.02)
    assert answer["warnings"] == [
        "Gaps between lines of layer 0 that were closed: 0.003 m at 0, 4.002."
    ]


def test_a_gap_that_was_left_is_told_in_metres(tmp_path):
    document, model = new(units=4)
    for start, end in (*SIDES[:3], ((0.04, 0.03), (0, 5))):
        model.add_line([1000 * n for n in start], [1000 * n for n in end])
    answer = told(document, tmp_path)
    assert [each.geom_type for each in shapes(answer)] == ["LineString"]
    assert answer["warnings"] == [
        "Gaps between lines of layer 0 that were left open: 0.05 m at 20, 15."
    ]


def test_of_three_ends_in_reach_the_nearest_two_are_joined():
    three = lines(((0, 0), (10, 0)), ((10.001, 0), (20, 0)), ((10, 0.003), (10, 10)))
    joined = join(three, 0.01)
    assert [(gap.size, gap.closed) for gap in joined.gaps] == [(pytest.approx(0.001), True)]
    assert [line.length for line, _ in joined.lines] == pytest.approx([20, 9.997])


def test_sides_that_cross_are_left_a_line_without_an_end():
    bow_tie = [((0, 0), (10, 10)), ((10, 10), (10, 0)), ((10, 0), (0, 10)), ((0, 10), (0, 0))]
    joined = join(lines(*bow_tie), 0.01)
    ((line, _),) = joined.lines
    assert line.is_closed
    assert (joined.rings, joined.gaps) == ([], [])


def test_a_line_too_short_for_a_length_is_nothing(tmp_path):
    document, model = new()
    model.add_line((0, 0), (1e-200, 0))
    model.add_lwpolyline([(0, 0), (9, 0), (9, 9)], close=True, dxfattribs={"layer": "LAWN"})
    answer = told(document, tmp_path)
    assert areas(answer) == [40.5]
