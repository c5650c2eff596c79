"""An invented garden of 30 things that throw shadows: one house is L-shaped, one hedge is bare."""

from __future__ import annotations

import numpy as np
import shapely

from lawnmap.geometry.sunlight.obstacle import Obstacle
from lawnmap.geometry.sunlight.points import Points

WIDE_M, DEEP_M = 50.0, 30.0
LATITUDE_DEG = 53.8


def garden(seed: int = 1, things: int = 30) -> list[Obstacle]:
    """Return so many things: two in five are trees, each a crown and a stem."""
    source = np.random.default_rng(seed)
    kinds = [_tree, _hedge, _tree, _fence, _house, _hedge, _tree, _fence, _tree, _fence]
    return [part for n in range(things) for part in kinds[n % 10](source, n)]


def lawn(count: int, seed: int = 2, *, slope: bool = True) -> Points:
    """Return random points on two levels, a few on a slope."""
    source = np.random.default_rng(seed)
    xyz = np.column_stack(
        [source.uniform(0, WIDE_M, count), source.uniform(0, DEEP_M, count), np.zeros(count)]
    )
    xyz[xyz[:, 0] > WIDE_M / 2, 2] = 0.8
    tilted = (xyz[:, 1] > DEEP_M * 0.8) & slope
    return Points(xyz, np.where(tilted, 12.0, 0.0), np.where(tilted, 20.0, np.nan))


def grid(area_m2: float, step_m: float = 0.5) -> Points:
    """Return the points of a grid over as much of a garden's width as makes up an area."""
    x = np.arange(step_m / 2, area_m2 / DEEP_M, step_m)
    y = np.arange(step_m / 2, DEEP_M, step_m)
    across, along = (each.ravel() for each in np.meshgrid(x, y))
    count = len(across)
    xyz = np.column_stack([across, along, np.zeros(count)])
    return Points(xyz, np.zeros(count), np.full(count, np.nan))


def _tree(source, number):
    place = shapely.Point(*_anywhere(source))
    radius, base, tall = source.uniform(1.2, 3.5), source.uniform(1, 2.5), source.uniform(4, 11)
    crown = place.buffer(radius, quad_segs=4)
    through = (0.15, 0.5, 0.3)[number % 3]
    return [Obstacle(crown, base, tall, through), Obstacle(place.buffer(0.15, 2), 0, base)]


def _hedge(source, number):
    bare = 0.4 if number % 10 == 5 else 0.0
    return [Obstacle(_line(source, 0.4), 0, source.uniform(1.2, 2.2), bare)]


def _fence(source, number):
    return [Obstacle(_line(source, 0.05), 0, 1.8)]


def _house(source, number):
    x, y = source.uniform(5, WIDE_M - 5), source.choice([-7.0, DEEP_M + 1])
    box = shapely.box(x - 5, y, x + 5, y + 6)
    corner = shapely.box(x, y + 3, x + 5, y + 6)
    shape = box if number % 20 == 4 else box.difference(corner)
    return [Obstacle(shapely.affinity.rotate(shape, source.uniform(-10, 10)), 0, 6.5)]


def _line(source, half):
    ends = np.array([_anywhere(source), _anywhere(source)])
    ends[1] = ends[0] + (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0])) * 8
    return shapely.LineString(ends).buffer(half, cap_style="flat")


def _anywhere(source):
    return source.uniform(-3, WIDE_M + 3), source.uniform(-3, DEEP_M + 3)
