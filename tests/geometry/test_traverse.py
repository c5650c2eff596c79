"""Closed traverses against worked examples."""

import math

import numpy as np
import pytest

from lawnmap.geometry.offsets import area_by_coordinates
from lawnmap.geometry.traverse import bowditch

LENGTHS = np.array([80.40, 46.30, 72.80, 68.00])
BEARINGS = np.array([76.0, 180 - 36, 180 + 61, 360 - 38])  # N76E S36E S61W N38W


@pytest.fixture
def walked():
    """Return the four legs of a course presentation on the compass rule."""
    return bowditch(LENGTHS, BEARINGS)


def test_latitudes_and_departures_as_printed(walked):
    assert walked.latitudes == pytest.approx([19.451, -37.457, -35.294, 53.585], abs=1e-3)
    assert walked.departures == pytest.approx([78.012, 27.214, -63.672, -41.865], abs=1e-3)
    assert walked.latitudes.sum() == pytest.approx(0.285, abs=2e-3)
    assert walked.departures.sum() == pytest.approx(-0.311, abs=2e-3)
    assert walked.perimeter_m == pytest.approx(267.5)


def test_bowditch_as_printed(walked):
    north, east = walked.adjusted_latitudes, walked.adjusted_departures
    assert north == pytest.approx([19.3653, -37.5063, -35.3716, 53.5126], abs=1e-3)
    assert east == pytest.approx([78.1055, 27.2678, -63.5874, -41.786], abs=1e-3)
    corrections = walked.latitudes - north
    assert corrections == pytest.approx([0.0857, 0.0493, 0.0776, 0.0724], abs=1e-3)
    assert east - walked.departures == pytest.approx([0.0935, 0.0538, 0.0846, 0.0791], abs=1e-3)


def test_closing_error_and_area(walked):
    assert walked.error_m == pytest.approx(0.421, abs=1e-3)
    assert walked.one_in == pytest.approx(635, abs=1)
    # Worked out from the printed figures (not printed itself).
    assert area_by_coordinates(walked.points) == pytest.approx(4169.14, abs=0.1)
    assert walked.points[0] == pytest.approx([0, 0])


def test_a_second_printed_traverse():
    # Printed sums −0.03 and +0.32 over 1044.079; one bearing is printed as 227 09 60. The sums are
    # of five latitudes printed to 0.01, so they are good to 0.025: ours are −0.007 and +0.301.
    bearings = np.array([306 + 31 / 60, 227 + 10 / 60, 196 + 59 / 60, 102 + 58 / 60, 88 + 1 / 60])
    walked = bowditch(np.array([371.006, 110.222, 139.872, 103.119, 319.860]), bearings)
    assert walked.latitudes.sum() == pytest.approx(-0.03, abs=0.025)
    assert walked.departures.sum() == pytest.approx(0.32, abs=0.025)
    assert walked.perimeter_m == pytest.approx(1044.079)


@pytest.mark.parametrize(("leg", "suspect"), [(0, 0), (1, None), (2, 2), (3, None)])
def test_a_leg_with_a_wrong_length_is_suspected(leg, suspect):
    # The second leg and the fourth run within 2° of one line: either could be it.
    lengths = LENGTHS.copy()
    lengths[leg] += 8
    assert bowditch(lengths, BEARINGS).suspect == suspect


def test_no_leg_is_suspected_when_two_run_along_the_error():
    square = np.array([10.0, 20.0, 11.0, 20.0])
    walked = bowditch(square, np.array([0.0, 90.0, 180.0, 270.0]))
    assert walked.error_m == pytest.approx(1)
    assert walked.suspect is None


def test_an_exact_traverse_closes():
    walked = bowditch(np.array([3.0, 4.0, 5.0]), np.degrees([0, math.pi / 2, math.atan2(-4, -3)]))
    assert walked.error_m == pytest.approx(0, abs=1e-12)
    assert walked.one_in > 1e9
    nothing = bowditch(np.array([1.0, 1.0, 2.0]), np.array([0.0, 0.0, 180.0]))
    shut = nothing._replace(latitudes=np.zeros(3), departures=np.zeros(3))
    assert (shut.one_in, shut.suspect) == (math.inf, None)
