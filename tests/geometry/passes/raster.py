"""A count of covered ground by points of a grid: arithmetic on points, no overlay of polygons."""

import itertools

import numpy as np
import shapely

from lawnmap.geometry.passes import swaths

ASKEW = 31.7  # [°] from the lines, so that no row of points runs along a strip


def turned(points, degrees):
    angle = np.radians(degrees)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    return points @ turn.T


def counted(area, laid, points):
    """Return covered and twice-covered ground [m²], by about so many points."""
    degrees = 90 - laid.heading_deg
    flat = shapely.affinity.rotate(area, -degrees - ASKEW, origin=(0, 0))
    west, south, east, north = flat.bounds
    cell = np.sqrt((east - west) * (north - south) / points)
    x, y = (np.arange(a + cell / 2, b, cell) for a, b in ((west, east), (south, north)))
    grid = np.column_stack([each.ravel() for each in np.meshgrid(x, y)])
    shapely.prepare(flat)
    place = turned(grid[shapely.contains_xy(flat, *grid.T)], ASKEW)  # lines run along x
    place = place[np.argsort(place[:, 1])]
    times = np.zeros(len(place), dtype=int)
    corner = np.zeros(len(place), dtype=bool)
    for bout in laid.bouts:
        times += near(place, turned(bout, -degrees), laid.width_m / 2)
    for line in laid.rounds:
        for side in swaths.sides(line):
            path = turned(shapely.get_coordinates(side), -degrees)
            on = np.zeros(len(place), dtype=bool)
            for each in itertools.pairwise(path):
                on |= near(place, np.array(each), laid.width_m / 2)
            for before, each, after in zip(path[:-2], path[1:-1], path[2:], strict=True):
                # The end of the machine that is outside in the turn sweeps a sector.
                past = (place - each) @ (each - before) >= 0
                on |= (
                    around(place, each, laid.width_m / 2)
                    & past
                    & ((place - each) @ (after - each) <= 0)
                )
            times += on
            corner |= around(place, path[0], laid.width_m / 2)
    of_one = cell * cell
    return ((times > 0) | corner).sum() * of_one, (times > 1).sum() * of_one


def near(place, ends, half):
    """Return which points lie within half a width of a stretch, square at its ends."""
    low, high = ends[:, 1].min() - half, ends[:, 1].max() + half
    begin, end = np.searchsorted(place[:, 1], [low, high])
    away, along = place[begin:end] - ends[0], ends[1] - ends[0]
    length = np.hypot(*along)
    found = np.zeros(len(place), dtype=bool)
    ahead, aside = away @ along / length, np.abs(away @ [-along[1], along[0]]) / length
    found[begin:end] = (ahead >= 0) & (ahead <= length) & (aside <= half)
    return found


def around(place, middle, half):
    begin, end = np.searchsorted(place[:, 1], [middle[1] - half, middle[1] + half])
    found = np.zeros(len(place), dtype=bool)
    found[begin:end] = np.hypot(*(place[begin:end] - middle).T) <= half
    return found
