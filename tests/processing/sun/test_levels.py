"""Ground between heights."""

import numpy as np
import pytest

from lawnmap.found import Heights
from lawnmap.processing.sun.levels import Levels
from tests.processing.sun.garden import LEEDS, plane_heights

SOME = np.array([[0.3, 0.7], [-7.1, 3.3], [11.0, -12.5]])


@pytest.mark.parametrize("towards", [0, 90, 200, 315])
def test_a_plane_is_found_again(towards):
    levels = Levels(plane_heights(12, towards), LEEDS)
    down = np.array([np.sin(np.radians(towards)), np.cos(np.radians(towards))])
    expected = 100 - SOME @ down * np.tan(np.radians(12))
    assert levels.at(SOME) == pytest.approx(expected, abs=1e-3)
    fall = levels.fall(SOME)
    assert fall.slope_deg == pytest.approx(12, abs=0.01)
    assert fall.aspect_deg == pytest.approx(towards, abs=0.1)


def test_beyond_the_heights_the_nearest_stands():
    levels = Levels(plane_heights(12, 0), LEEDS)
    edge = levels.at(np.array([[0.0, 20.0]]))
    assert levels.at(np.array([[0.0, 300.0]])) == pytest.approx(edge, abs=1e-3)


def test_without_heights_all_lies_at_nothing():
    levels = Levels(None, LEEDS)
    assert levels.at(SOME).tolist() == [0, 0, 0]
    assert levels.fall(SOME).slope_deg == 0


def test_heights_on_one_line_are_taken_one_by_one():
    lonlat = LEEDS.to_lonlat(np.array([[0.0, 0], [10, 0], [20, 0]]))
    levels = Levels(Heights(np.column_stack([lonlat, [5.0, 6, 7]])), LEEDS)
    assert levels.at(np.array([[1.0, 4], [19, -4]])) == pytest.approx([5, 7])
