"""Tests of points of ground."""

from __future__ import annotations

import numpy as np

from lawnmap.geometry.sunlight.points import level


def test_level_points_have_one_height_and_no_slope():
    points = level(np.array([[1.0, 2.0], [3.0, 4.0]]), 5.0)
    assert points.xyz.tolist() == [[1, 2, 5], [3, 4, 5]]
    assert points.slope_deg.tolist() == [0, 0]
    assert np.isnan(points.aspect_deg).all()


def test_some_of_them_keep_their_columns_together():
    some = level(np.arange(10.0).reshape(5, 2)).where(slice(1, 3))
    assert some.xyz[:, :2].tolist() == [[2, 3], [4, 5]]
    assert len(some.slope_deg) == len(some.aspect_deg) == 2
