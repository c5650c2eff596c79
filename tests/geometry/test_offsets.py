"""Areas by offsets and by coordinates against worked examples."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.offsets import (
    area_by_coordinates,
    average_ordinate,
    crossing,
    equal_interval,
    place,
    simpson,
    trapezoidal,
)


@pytest.mark.parametrize(
    ("offsets", "interval", "ordinate", "trapezium", "arcs"),
    [
        # Basic civil engineering course notes: printed 442.66, 460.75, 461.167 m².
        ("3.15 4.3 8.2 5.6 6.85 7.6 4.2 5.6 4.3", 10, 442.667, 460.75, 461.167),
        # "Area by offsets", a course hand-out: printed 211.4 and 211.17 m².
        ("0.8 3.6 4.7 5.3 3.9 2.7 4.6 5.5 4.9 7.6 8.8 5.4 6.0", 3.5, None, 211.4, 211.17),
        # An examination question bank, an even number of offsets: printed 790.5 and 781 m².
        ("0 2.65 3.80 3.75 4.65 3.60 5.00 5.80", 30, None, 790.5, 781.0),
        # A question with its method printed, the totals worked out from it: even as well.
        ("3.50 4.30 6.15 5.25 7.50 8.80 7.90 6.40 4.40 3.25", 15, None, 811.125, 807.375),
    ],
)
def test_areas_by_offsets_as_printed(offsets, interval, ordinate, trapezium, arcs):
    width = np.array([float(each) for each in offsets.split()])
    along = np.arange(len(width)) * float(interval)
    if ordinate is not None:
        assert average_ordinate(width, interval) == pytest.approx(ordinate, abs=0.007)
    assert trapezoidal(along, width) == pytest.approx(trapezium, abs=5e-3)
    assert simpson(width, interval) == pytest.approx(arcs, abs=5e-3)


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


@pytest.mark.parametrize(
    ("corners", "area", "within"),
    [
        # J. Mahun, Open Access Surveying Library, traverse computations G, example 1 (N, E in ft).
        ("500 2000; 323.614 1561.426; 526.996 1488.321; 719.336 1686.956", 102_935.7, 0.05),
        # The same library, solution of "Traverse area", problem 2: 250,550 ± 20 ft².
        ("600 1000; 254.542 1209.288; 97.543 566.876; 470.303 397.969", 250_550, 20),
        # The same library, chapter H: 140,494 ft² from rounded products.
        (
            "406.31 1259.97; 235.12 1489.47; 65.81 1126.40; 317.89 942.04; 675.32 1282.54",
            140_494,
            1,
        ),
        ("3 4; 5 11; 12 8; 9 5; 5 6", 30, 1e-9),  # common textbook example, from memory
    ],
)
def test_areas_by_coordinates_as_printed(corners, area, within):
    assert area_by_coordinates(ring(corners)) == pytest.approx(area, abs=within)


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
