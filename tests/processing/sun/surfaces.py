"""Surfaces for tests of the sun: a height at every place of an even grid about a garden."""

import datetime as dt

import numpy as np

from lawnmap.found import SurfaceHeights
from lawnmap.jobs.measure import measure
from lawnmap.processing.sun.zone_sun import zone_sun
from tests.processing.sun.garden import LEEDS

DAY = dt.date(2026, 11, 26)


def surface(height, *, cell=0.5, half=40.0, turn_deg=0.0, frame=LEEDS):
    """Return heights by a function of east and north; the middle of the grid is the frame's."""
    turn = np.radians(turn_deg)
    column = (cell * np.cos(turn), cell * np.sin(turn))
    row = (cell * np.sin(turn), -cell * np.cos(turn))
    many = 2 * round(half / cell) + 1
    down, along = np.indices((many, many)) - many // 2
    east, north = (along * column[axis] + down * row[axis] for axis in (0, 1))
    (first,) = frame.to_lonlat(np.array([[east[0, 0], north[0, 0]]])).tolist()
    return SurfaceHeights(height(east, north), tuple(first), column, row, "surface.tif", DAY)


def block(box, top, ground=100.0):
    """Return a function of east and north: level ground with a block that reaches its edges."""
    west, south, east, north = box

    def height(x, y):
        inside = (np.abs(2 * x - west - east) < east - west + 0.01) & (
            np.abs(2 * y - south - north) < north - south + 0.01
        )
        return np.where(inside, ground + top, ground)

    return height


def sunlight(made, spell, step_m=1.0):
    measured = measure(made)
    return zone_sun(
        measured.zones,
        measured.lawn,
        made.features,
        made.heights,
        spell,
        step_m=step_m,
        surface=made.surface,
    )
