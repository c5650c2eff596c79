"""Two-point tape fixes against worked examples."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lawnmap.geometry.ties import Apart, left_of, meet

ORIGIN = np.zeros(2)


def test_three_four_five():
    # The 3-4-5 triangle of any textbook: the point is at (1.8, 2.4).
    meeting = meet(ORIGIN, np.array([5.0, 0.0]), 3.0, 4.0)
    assert meeting.left == pytest.approx([1.8, 2.4])
    assert meeting.right == pytest.approx([1.8, -2.4])
    assert meeting.crossing_deg == pytest.approx(90)


@pytest.mark.parametrize(
    ("d1", "d2", "expected"),
    [
        (64, 76, (35.667, 53.140)),
        (28, 70, (22.133, 17.150)),
        (120, 62, (103.644, 60.480)),
        (68, 52, (55.667, 39.054)),
        (53, 125, (-26.200, 46.071)),
    ],
)
def test_points_of_a_published_trilateration(d1, d2, expected):
    # A course note on trilateration: base 90, five points by two ties each (read).
    meeting = meet(ORIGIN, np.array([90.0, 0.0]), d1, d2)
    assert meeting.left == pytest.approx(expected, abs=5e-4)


def test_circles_of_a_question_with_a_known_answer():
    # A mathematics Q&A: three circles meet in (550, 351); each pair must give it on one side.
    centres = np.array([[795.0, 332.0], [795.0, 569.0], [516.0, 569.0]])
    radii = [245.735630302, 327.946642001, 220.635445928]
    for i, j in ((0, 1), (1, 2), (0, 2)):
        meeting = meet(centres[i], centres[j], radii[i], radii[j])
        off = min(math.dist(xy, (550, 351)) for xy in (meeting.left, meeting.right))
        assert off < 1e-4


@pytest.mark.parametrize(
    ("d1", "d2", "gap", "too_long"),
    [(2.0, 2.5, 0.5, None), (9.0, 3.0, 1.0, 0), (3.0, 8.25, 0.25, 1)],
)
def test_tapes_that_do_not_meet_are_told_by_how_much(d1, d2, gap, too_long):
    with pytest.raises(Apart) as caught:
        meet(ORIGIN, np.array([5.0, 0.0]), d1, d2)
    assert caught.value.gap_m == pytest.approx(gap)
    assert caught.value.too_long == too_long


def test_tapes_in_line_meet_once_at_no_angle():
    meeting = meet(ORIGIN, np.array([5.0, 0.0]), 2.0, 3.0)
    assert meeting.left == pytest.approx(meeting.right)
    assert math.sin(math.radians(meeting.crossing_deg)) == pytest.approx(0, abs=1e-6)


def test_one_fixed_point_given_twice_fixes_nothing():
    with pytest.raises(ValueError, match="one"):
        meet(ORIGIN, ORIGIN, 1.0, 1.0)


def test_left_is_left():
    north = np.array([0.0, 3.0])
    assert left_of(ORIGIN, north, np.array([-2.0, 1.0])) == pytest.approx(2)
    assert left_of(ORIGIN, north, np.array([2.0, 1.0])) == pytest.approx(-2)
    assert left_of(ORIGIN, ORIGIN, north) == 0


place = st.tuples(*[st.floats(-200, 200)] * 2).map(np.array)


@given(place, place, place)
def test_the_point_the_lengths_came_from_is_one_of_the_two(first, second, point):
    assume(math.dist(first, second) > 0.5)
    lengths = [math.dist(first, point), math.dist(second, point)]
    assume(min(lengths) > 0.1)
    side = left_of(first, second, point)
    assume(abs(side) > 0.05)
    meeting = meet(first, second, *lengths)
    assert math.dist(meeting.left if side > 0 else meeting.right, point) < 1e-6
