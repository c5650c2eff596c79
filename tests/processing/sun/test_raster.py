"""The grid of points."""

import numpy as np
import pytest
import shapely
from shapely import box

from lawnmap.errors import InputRefused
from lawnmap.processing.sun.raster import USUAL_POINTS, Raster, raster, spacing
from tests.processing.sun.garden import LEEDS


def placed(shape):
    return shapely.transform(shape, LEEDS.to_lonlat)


def grid_of(*shapes, step=0.5):
    return raster(np.array([placed(each) for each in shapes], dtype=object), LEEDS, step)


def test_cells_are_squares_of_the_step_and_lie_in_their_outline():
    lawn = shapely.Polygon([(0, 0), (20, 0), (20, 8), (8, 8), (8, 20), (0, 20)])
    grid = grid_of(lawn)
    cells = grid.within(placed(lawn))
    xy = LEEDS.to_metres(grid.middles(cells))
    assert shapely.contains_xy(lawn, xy).all()
    assert len(cells) * 0.25 == pytest.approx(lawn.area, rel=0.03)
    assert np.diff(np.unique(xy[:, 0].round(3))) == pytest.approx(0.5, abs=2e-3)


def test_a_map_gives_its_own_grid_back():
    lawn = box(0, 0, 7, 5)
    grid = grid_of(lawn, step=0.7)
    cells = grid.within(placed(lawn))
    again = Raster.of(grid.map_of(cells, np.arange(len(cells)) / 10))
    assert again.within(placed(lawn)).tolist() == cells.tolist()


def test_outlines_do_not_share_cells():
    left, right = box(0, 0, 5, 5), box(5, 0, 10, 5)
    grid = grid_of(left, right)
    assert not set(grid.within(placed(left))) & set(grid.within(placed(right)))


def test_the_step_grows_with_the_lawn():
    assert spacing(400, 1_000, None) == 0.5
    large = spacing(60_000, 100_000, None)
    assert 60_000 / large**2 <= USUAL_POINTS
    assert large == 3.2
    assert spacing(400, 50e6, None) == pytest.approx(5.0)  # a wide site: the whole grid is bounded


def test_what_is_asked_is_kept_or_refused_with_what_would_do():
    assert spacing(400, 1_000, 0.2) == 0.2
    with pytest.raises(InputRefused) as caught:
        spacing(60_000, 100_000, 0.2)
    assert "--step 0.8" in str(caught.value)
