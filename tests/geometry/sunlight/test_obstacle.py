"""Tests of obstacles and of their rings in one row."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from lawnmap.geometry.sunlight.obstacle import Obstacle, outlines

SQUARE = shapely.box(0, 0, 2, 2)


def test_rings_have_their_inside_on_the_left():
    yard = shapely.box(-1, -1, 3, 3).difference(SQUARE).reverse()
    around = outlines([Obstacle(yard, 0, 5)])
    a, b = around.xy[:-1][around.side], around.xy[1:][around.side]
    assert np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2 == pytest.approx(16 - 4)


def test_every_corner_knows_its_obstacle_and_seams_are_no_sides():
    two = shapely.MultiPolygon([SQUARE, shapely.box(5, 5, 6, 6)])
    around = outlines([Obstacle(two, 0, 5), Obstacle(SQUARE, 1, 2, 0.5)])
    assert around.obstacle.tolist() == [0] * 10 + [1] * 5
    assert np.flatnonzero(~around.side).tolist() == [4, 9]
    assert around.through.tolist() == [0, 0.5]


def test_none_at_all_are_no_corners():
    around = outlines([])
    assert len(around.xy) == len(around.top_m) == 0


@pytest.mark.parametrize(
    ("base", "top", "through"),
    [(2, 1, 0), (0, np.nan, 0), (np.nan, 1, 0), (0, np.inf, 0), (0, 1, -0.1), (0, 1, 1.1)],
)
def test_heights_upside_down_and_odd_shares_are_refused(base, top, through):
    with pytest.raises(ValueError, match="obstacle"):
        outlines([Obstacle(SQUARE, base, top, through)])


def test_base_may_be_wherever_the_ground_is():
    assert outlines([Obstacle(SQUARE, -np.inf, 3)]).base_m.tolist() == [-np.inf]
