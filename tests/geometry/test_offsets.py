"""Areas by offsets and by coordinates against worked examples."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.offsets import (
    area_by_coordinates,
    crossing,
    equal_interval,
    place,
    simpson,
    trapezoidal,
)


def test_an_even_number_of_offsets():
    # A question with its method printed, the totals worked out from it: Simpson's rule for all but
    # the last strip, which is a trapezium. What sources print themselves is in tests/published.
    width = np.array([3.50, 4.30, 6.15, 5.25, 7.50, 8.80, 7.90, 6.40, 4.40, 3.25])
    assert trapezoidal(np.arange(10) * 15.0, width) == pytest.approx(811.125, abs=5e-3)
    assert simpson(width, 15.0) == pytest.approx(807.375, abs=5e-3)


def test_simpson_is_exact_under_a_parabola_and_trapezia_are_not():
    # ∫ x(10 - x) from 0 to 10 is 166.667: calculus.
    along = np.linspace(0, 10, 5)
    width = along * (10 - along)
    assert simpson(width, 2.5) == pytest.approx(1000 / 6)
    assert trapezoidal(along, width) == pytest.approx(156.25)


def test_two_offsets_are_one_trapezium():
    assert simpson(np.array([2.0, 4.0]), 5.0) == pytest.approx(15)


def test_strips_of_one_width_are_told_from_others():
    assert equal_interval(np.array([0.0, 0.1, 0.2, 0.1 + 0.2])) == pytest.approx(0.1)
    assert equal_interval(np.array([0.0, 5.0, 9.0])) is None
    assert equal_interval(np.array([0.0, 0.0])) is None


def test_area_by_coordinates():
    corners = ring("3 4; 5 11; 12 8; 9 5; 5 6")  # common textbook example, from memory
    assert area_by_coordinates(corners) == pytest.approx(30, abs=1e-9)


def ring(text):
    return np.array([[float(each) for each in pair.split()] for pair in text.split(";")])


def test_an_outline_that_crosses_itself_is_refused():
    # The same problem's points in the order of the traverse: the bare formula gives 4,878 ft².
    corners = ring(
        "600 1000; 569.612 1293.788; 254.542 1209.288; 463.631 766.846;"
        "470.303 397.969; 97.543 566.876"
    )
    assert crossing(corners) is not None
    with pytest.raises(ValueError, match=r"side \d+ crosses side \d+"):
        area_by_coordinates(corners)


@pytest.mark.parametrize("shift", [0.0, 1e6, 1e7])
def test_a_far_origin_costs_no_digits(shift):
    # A note on the surveyor's formula: the triangle (0,π) (0,0) (2,0) has the area π anywhere.
    corners = np.array([[0.0, math.pi], [0.0, 0.0], [2.0, 0.0]]) + shift
    assert area_by_coordinates(corners) == pytest.approx(math.pi, abs=5e-9)


@given(st.lists(st.tuples(*[st.integers(-50, 50)] * 2), min_size=4, max_size=9, unique=True))
def test_what_shapely_calls_simple_does_not_cross_and_has_its_area(corners):
    outline = shapely.Polygon(corners)
    if outline.is_valid:
        xy = np.array(corners, dtype=float)
        assert crossing(xy) is None
        assert area_by_coordinates(xy) == pytest.approx(outline.area)


def test_an_offset_is_set_out_square_to_its_line():
    point = place(np.array([1.0, 1.0]), np.array([1.0, 9.0]), 5.0, 2.0)
    assert point == pytest.approx([-1.0, 6.0])
    with pytest.raises(ValueError, match="no length"):
        place(np.zeros(2), np.zeros(2), 1.0, 1.0)
