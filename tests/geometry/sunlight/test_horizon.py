"""Tests of the horizon over a surface, against prisms, planes and the lie of the ground."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from lawnmap.geometry.relief import Steps
from lawnmap.geometry.sunlight.horizon import surface_horizon
from lawnmap.geometry.sunlight.hours import sun_hours
from lawnmap.geometry.sunlight.obstacle import Obstacle
from lawnmap.geometry.sunlight.path import SunPath, fold
from lawnmap.geometry.sunlight.points import Points, level
from tests.geometry.sunlight.sky import day

SUN = fold(day(53.8, -5, 4))
CELL = 0.5
STEPS = Steps((CELL, 0.0), (0.0, -CELL))
FIRST = (-30.0, 30.0)  # middle of the first cell, the one north-west
SIDE = 121


def surface(height) -> np.ndarray:
    """Return a grid of heights from east and north."""
    place = CELL * np.arange(SIDE)
    return height(*np.meshgrid(FIRST[0] + place, FIRST[1] - place))


def spread(count: int, apart: float) -> np.ndarray:
    """Return random places so far from the middle."""
    source = np.random.default_rng(4)
    turn, away = source.uniform(0, 2 * np.pi, count), source.uniform(apart, 24, count)
    return np.column_stack([away * np.sin(turn), away * np.cos(turn)])


def test_block_in_the_surface_shades_as_a_prism_does():
    heights = surface(lambda x, y: 5.0 * ((np.abs(x) < 4.1) & (np.abs(y) < 3.1)))
    points = level(spread(60, 7))
    # Between middles of cells the surface slopes: it is at full height as far as the last of them.
    block = Obstacle(shapely.box(-4, -3, 4, 3), 0, 5)
    by_prism = sun_hours(points, SUN, [block])
    by_surface = sun_hours(points, SUN, [], surface_horizon(points, SUN, heights, FIRST, STEPS))
    assert np.sqrt(np.mean((by_surface - by_prism) ** 2)) < 0.2
    assert np.mean(by_surface) == pytest.approx(np.mean(by_prism), abs=0.05)
    assert by_prism.std() > 1


def test_plane_s_horizon_is_that_of_its_slope():
    """Of a plane falling 20° east of north, a point on it sees tan(slope) of the way back up."""
    turn = np.radians(20)
    fall = lambda x, y: -0.15 * (x * np.sin(turn) + y * np.cos(turn))
    xy = spread(20, 1)
    points = level(xy)
    points.xyz[:, 2] = fall(*xy.T)
    sun = fold(day(53.8, 23, 4))
    found = surface_horizon(points, sun, surface(fall), FIRST, STEPS)
    rise = np.maximum(-0.15 * np.cos(np.radians(sun.bearing_deg) - turn), 0)
    # Where the lowest sun stands above all of the surface, it is not even looked at.
    looked = found.max(axis=0) > 0
    assert looked.sum() > 30
    assert found[:, looked] == pytest.approx(np.tile(rise[looked], (20, 1)), abs=1e-4)
    sloping = Points(points.xyz, np.full(20, np.degrees(np.arctan(0.15))), np.full(20, 20.0))
    assert sun_hours(points, sun, [], found) == pytest.approx(sun_hours(sloping, sun, []), abs=0.02)


def test_grid_may_be_turned():
    """Rows to the north and columns to the west are the same surface."""
    heights = surface(lambda x, y: 6.0 * ((np.abs(x - 3) < 2) & (np.abs(y + 5) < 1)))
    points = level(spread(20, 8))
    turned = surface_horizon(
        points, SUN, heights[::-1, ::-1], (30.0, -30.0), Steps((-CELL, 0.0), (0.0, CELL))
    )
    straight = surface_horizon(points, SUN, heights, FIRST, STEPS)
    assert straight.max() > 0.1
    assert turned == pytest.approx(straight, abs=1e-4)


def test_gaps_and_what_lies_off_the_grid_hide_nothing():
    heights = surface(lambda x, y: np.where(np.abs(x) < 20, 9.0, np.nan))
    heights[:, 20:-20] = np.nan
    points = level(np.array([[0.0, 0.0], [500.0, 500.0]]))
    found = surface_horizon(points, SUN, heights, FIRST, STEPS)
    assert (found == 0).all()
    assert (surface_horizon(points, SUN, heights * np.nan, FIRST, STEPS) == 0).all()
    assert surface_horizon(level(np.zeros((0, 2))), SUN, heights, FIRST, STEPS).shape[0] == 0


def test_point_off_the_grid_still_sees_a_hill_on_it():
    heights = surface(lambda x, y: 20.0 * ((np.abs(x) < 5) & (np.abs(y) < 5)))
    sun = fold(SunPath(np.array([180.0, 270.0]), np.array([5.0, 5.0]), np.ones(2)))
    points = level(np.array([[0.0, 45.0]]))
    found = surface_horizon(points, sun, heights, FIRST, STEPS)
    assert found[0] == pytest.approx([20 / 40, 0], abs=0.01)


def test_blocks_are_of_no_account(monkeypatch):
    heights = surface(lambda x, y: 3 + np.sin(x) + np.cos(y / 2))
    points = level(spread(15, 2))
    whole = surface_horizon(points, SUN, heights, FIRST, STEPS)
    monkeypatch.setattr("lawnmap.geometry.sunlight.horizon.BLOCK", 1)
    assert np.array_equal(surface_horizon(points, SUN, heights, FIRST, STEPS), whole)
