"""The scan line against GEOS, and on corners and edges it must count once."""

import numpy as np
import pytest
import shapely

from lawnmap.geometry.passes.scanline import Edges, Grid, edges, scan, turned
from tests.geometry.passes.zones import zone


def grid_of(first, step, count):
    return Grid(*(np.array([each]) for each in (first, step, count)))


def test_pieces_are_those_of_geos():
    for seed in range(20):
        area = zone(seed)[0]
        west, south, east, north = area.bounds
        grid = grid_of(south + 0.1, 0.37, int((north - south) / 0.37))
        found = scan(edges(np.array([area])), grid)
        y = grid.first[0] + 0.37 * np.arange(grid.many[0])
        cut = shapely.linestrings([[[west - 1, each], [east + 1, each]] for each in y])
        geos = shapely.length(shapely.intersection(cut, area))
        mine = np.bincount(found.line, found.right - found.left, minlength=len(y))
        assert mine == pytest.approx(geos, abs=2e-3)
        assert mine.sum() == pytest.approx(geos.sum(), abs=3e-3)


def test_a_line_through_corners_and_along_edges():
    diamond = shapely.Polygon([(0, 0), (2, 1), (0, 2), (-2, 1)])
    step = shapely.Polygon([(0, 0), (4, 0), (4, 2), (2, 2), (2, 1), (0, 1)])
    found = scan(edges(np.array([diamond, step])), Grid(*np.tile([[0.0], [1.0], [3]], 2)))
    pieces = sorted(zip(found.owner, found.line, found.left, found.right, strict=True))
    # The diamond on its waist; the step on its lower edge, and above the inner corner.
    assert pieces == [(0, 1, -2.0, 2.0), (1, 0, 0.0, 4.0), (1, 1, 2.0, 4.0)]


def test_many_polygons_at_once_are_as_one_by_one():
    areas = np.array([zone(each)[0] for each in range(12)])
    every = scan(edges(areas), Grid(np.full(12, -20.0), np.full(12, 0.5), np.full(12, 80)))
    for place, area in enumerate(areas):
        alone = scan(edges(np.array([area])), grid_of(-20.0, 0.5, 80))
        assert every.left[every.owner == place].tolist() == alone.left.tolist()
        assert every.line[every.owner == place].tolist() == alone.line.tolist()


def test_nothing_in_nothing_out():
    nothing = Edges(np.zeros((0, 2, 2)), np.zeros(0, dtype=int))
    assert len(scan(nothing, grid_of(0.0, 1.0, 5)).line) == 0
    assert len(edges(np.array([shapely.Polygon()])).owner) == 0


def test_turned_twice_is_where_it_was():
    points = np.array([[3.0, 4.0], [-1.0, 2.0]])
    assert turned(points, 90.0)[0].tolist() == pytest.approx([3.0, -4.0])  # east ahead, south right
    assert turned(turned(points, 33.0), 33.0) == pytest.approx(points)
