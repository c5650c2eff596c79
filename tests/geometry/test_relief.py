"""Grids of heights: published cells, planes, spheres, and noise that is put in."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.geometry import relief
from lawnmap.geometry.relief import Steps, blocks, facets, horn, jenness, neighbours, noise_m

NORTH_UP = Steps((1.0, 0.0), (0.0, -1.0))


def middle(function, cell, side):
    cell = np.array(cell, dtype=float)
    return function(cell, neighbours(cell), Steps((side, 0), (0, -side)))[1, 1]


def plane_of(east, north, steps, shape=(12, 15)):
    row, column = np.indices(shape)
    x = column * steps.column[0] + row * steps.row[0]
    y = column * steps.column[1] + row * steps.row[1]
    return 20 + east * x + north * y


def test_the_published_slope():
    """The worked cell of a GIS vendor's page "How slope works".

    The method was read, the numbers are from memory: 75.25762° with 57.29578 for 180/π.
    """
    cell = [[50, 45, 50], [30, 30, 30], [8, 10, 10]]
    assert middle(horn, cell, 5) == pytest.approx(75.25766, abs=1e-4)


def test_the_surface_area_of_eight_triangles():
    """The cell of Jenness, Wildlife Society Bulletin 32(3) (2004), its heights from memory.

    An evaluation of the method apart from this code gave 10,280.77 m² for the cell of 100 m.
    """
    cell = [[190, 170, 155], [183, 165, 145], [175, 160, 122]]
    assert middle(jenness, cell, 100) * 100**2 == pytest.approx(10_280.77, abs=0.005)
    assert middle(horn, cell, 100) == pytest.approx(12.5125, abs=5e-5)


@given(st.floats(-0.7, 0.7), st.floats(-0.7, 0.7), st.floats(0, 360), st.floats(0.3, 2))
def test_a_plane_slopes_everywhere_however_the_grid_is_turned(east, north, turn, askew):
    turn = np.radians(turn)
    steps = Steps(
        (np.cos(turn), np.sin(turn)), (askew * np.sin(turn + 0.2), -askew * np.cos(turn + 0.2))
    )
    heights = plane_of(east, north, steps)
    found = facets(heights, (3.0, 4.0), steps)
    steep = np.hypot(east, north)
    assert len(found.shapes) == heights.size  # to the very edge
    assert found.slope_deg == pytest.approx(np.degrees(np.arctan(steep)), abs=1e-6)
    assert found.factor == pytest.approx(np.sqrt(1 + steep**2), abs=1e-9)
    assert shapely.area(found.shapes) == pytest.approx(steps.cell_m2, rel=1e-9)


def test_cells_lie_round_their_middles():
    found = facets(np.zeros((3, 3)), (10.0, 20.0), Steps((0.5, 0), (0, -0.5)))
    assert found.shapes[0].bounds == (9.75, 19.75, 10.25, 20.25)
    assert found.shapes[-1].bounds == (10.75, 18.75, 11.25, 19.25)


def test_a_dome_has_the_area_of_its_cap():
    """Archimedes: a cap of height h on a sphere of radius r has 2πrh."""
    radius, reach, cell = 30.0, 20.0, 0.25
    row, column = np.indices((200, 200))
    x, y = (column - 99.5) * cell, (99.5 - row) * cell
    from_top = np.hypot(x, y)
    heights = np.sqrt(np.maximum(radius**2 - from_top**2, 0))
    found = facets(heights, (x[0, 0], y[0, 0]), Steps((cell, 0), (0, -cell)))
    disc = shapely.Point(0, 0).buffer(reach, quad_segs=64)
    ground = shapely.area(shapely.intersection(found.shapes, disc)) @ found.factor
    cap = 2 * np.pi * radius * (radius - np.sqrt(radius**2 - reach**2))
    assert ground == pytest.approx(cap, rel=1e-3)
    assert disc.area * 1.1 < ground


def test_holes_do_not_bend_the_ground_beside_them():
    heights = plane_of(0.3, -0.2, NORTH_UP)
    heights[4:6, 5:9] = np.nan
    heights[0, 0] = heights[8, 3] = np.nan
    found = facets(heights, (0, 0), NORTH_UP)
    assert len(found.shapes) == np.isfinite(heights).sum()
    assert found.slope_deg == pytest.approx(np.degrees(np.arctan(np.hypot(0.3, 0.2))), abs=1e-9)


def test_a_cell_alone_has_no_slope():
    heights = np.full((5, 5), np.nan)
    heights[2, 2] = 7.0
    assert len(facets(heights, (0, 0), NORTH_UP).shapes) == 0


@pytest.mark.parametrize("noise", [0.01, 0.05, 0.3])
def test_noise_is_seen_on_curved_ground_with_a_wall(noise):
    row, column = np.indices((80, 90))
    heights = 0.1 * column + 0.001 * column * row + 0.002 * row**2 + 2.0 * (column > 40)
    chance = np.random.default_rng(3)
    assert noise_m(heights + chance.normal(0, noise, heights.shape)) == pytest.approx(
        noise, rel=0.05
    )


def test_no_noise_is_none():
    assert noise_m(plane_of(0.2, 0.1, NORTH_UP)) == pytest.approx(0, abs=1e-12)
    assert noise_m(np.full((2, 2), 1.0)) == 0
    assert noise_m(np.full((9, 9), np.nan)) == 0


@settings(max_examples=30)
@given(st.integers(1, 9), st.integers(3, 20), st.integers(3, 20), st.integers(0, 2**31))
def test_blocks_of_a_plane_lie_on_it_though_cells_are_missing(side, rows, columns, seed):
    heights = plane_of(0.3, -0.1, NORTH_UP, (rows, columns))
    gaps = np.random.default_rng(seed).random(heights.shape) < 0.2
    gaps[0, :2] = gaps[1, 0] = False  # three that fix the plane
    heights[gaps] = np.nan
    found = blocks(heights, side)
    assert found.shape == (-(-rows // side), -(-columns // side))
    middle_of = np.arange(max(found.shape)) * side + (side - 1) / 2
    true = 20 + 0.3 * middle_of[None, : found.shape[1]] + 0.1 * middle_of[: found.shape[0], None]
    known = np.isfinite(found)
    assert found[known] == pytest.approx(true[known], abs=1e-9)


def test_steps_of_larger_cells():
    assert Steps((2, 0), (0, -3)).times(2) == Steps((4, 0), (0, -6))
    assert Steps((2, 0), (0, -3)).narrowest_m == 2
    assert Steps((0, 0), (0, 0)).narrowest_m == 0
    assert relief.ROUND[4] == (1, 1)  # the lower right is opposite the upper left
