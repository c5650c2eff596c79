"""Where shade begins, on maps whose line is known."""

import numpy as np
import pytest
import shapely
from shapely import LineString, box

from lawnmap.grids import GridMap
from lawnmap.processing.sun.boundary import Least, shade_of
from lawnmap.processing.sun.raster import raster
from tests.processing.sun.garden import LEEDS

LEAST = Least(10.0, 1.0)


def outline(shape):
    return shapely.transform(shape, LEEDS.to_lonlat)


def drawn(shape, hours_of, step=0.5):
    """Return a map of hours by a formula of metres east and north."""
    placed = outline(shape)
    grid = raster(np.array([placed], dtype=object), LEEDS, step)
    cells = grid.within(placed)
    return grid.map_of(cells, hours_of(*LEEDS.to_metres(grid.middles(cells)).T))


def shade(shape, hours_of, under=4.0, least=LEAST, step=0.5):
    found = shade_of(drawn(shape, hours_of, step), outline(shape), under, least, LEEDS)
    return None if found is None else shapely.transform(found, LEEDS.to_metres)


def test_a_straight_line_is_found_where_it_is():
    lawn = box(0, 0, 20, 12)
    found = shade(lawn, lambda x, y: 0.3 * x + 0.1 * y)
    edge = LineString([(40 / 3, 0), (28 / 3, 12)])  # 0.3 x + 0.1 y = 4
    inner = shapely.difference(found.boundary, lawn.boundary.buffer(0.3)) & lawn
    assert inner.length == pytest.approx(edge.length, abs=0.8)
    assert shapely.hausdorff_distance(inner, edge) < 0.4
    assert (found & lawn).area == pytest.approx(12 * (40 / 3 + 28 / 3) / 2, abs=0.5)


def test_the_line_is_smooth_enough_to_walk():
    lawn = box(-15, -15, 15, 15)
    found = shade(lawn, lambda x, y: np.hypot(x, y) / 2) & lawn  # a disc of 8 m
    assert found.area == pytest.approx(np.pi * 64, rel=0.03)
    assert len(found.exterior.coords) < 40
    sides = np.hypot(*np.diff(np.array(found.exterior.coords), axis=0).T)
    assert sides.min() > 0.3


def test_noise_makes_no_slivers():
    rng = np.random.default_rng(6)
    lawn = box(0, 0, 30, 20)
    found = shade(lawn, lambda x, y: 0.4 * x + rng.normal(0, 0.6, len(x)))
    for part in shapely.get_parts([found & lawn, lawn - found]):
        assert part.area >= LEAST.area_m2
        assert not part.buffer(-LEAST.width_m / 2).is_empty


def test_an_island_too_small_stays_with_what_is_round_it():
    lawn = box(-15, -15, 15, 15)
    assert shade(lawn, lambda x, y: np.hypot(x, y) * 3) is None  # a disc of 1.3 m
    found = shade(lawn, lambda x, y: np.where(x < 0, 2, 6) + 5 * (np.hypot(x + 8, y) < 1.5))
    assert (lawn & found).area == pytest.approx(450, abs=10)
    assert len(shapely.get_parts(lawn & found)) == 1
    assert not (lawn & found).interiors


@pytest.mark.parametrize("hours", [3.0, 5.0])
def test_a_zone_on_one_side_is_left_whole(hours):
    assert shade(box(0, 0, 10, 10), lambda x, y: np.full(len(x), hours)) is None


def test_a_zone_that_is_not_on_the_map_is_left_whole():
    sun = drawn(box(0, 0, 20, 12), lambda x, y: x)
    assert shade_of(sun, outline(box(500, 0, 520, 12)), 4, LEAST, LEEDS) is None
    nothing = GridMap(np.full((3, 3), np.nan, dtype=np.float32), sun.bounds)
    assert shade_of(nothing, outline(box(0, 0, 20, 12)), 4, LEAST, LEEDS) is None


def test_gaps_on_the_lawn_do_not_bend_the_line():
    lawn = box(0, 0, 20, 12)
    sun = drawn(lawn, lambda x, y: x / 2.5)
    hours = sun.cells.copy()
    hours[8:14, 10:30] = np.nan  # a bed across the line at x = 10
    found = shade_of(GridMap(hours, sun.bounds), outline(lawn), 4, LEAST, LEEDS)
    flat = shapely.transform(found, LEEDS.to_metres) & lawn
    assert flat.area == pytest.approx(120, abs=8)
