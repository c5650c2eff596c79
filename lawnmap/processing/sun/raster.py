"""The even grid of longitude and latitude on which the sun is counted."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused
from lawnmap.geometry.frame import Frame
from lawnmap.grids import GridMap

Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]
Places = npt.NDArray[np.intp]

FINEST_M, USUAL_M = 0.1, 0.5
USUAL_POINTS, MOST_POINTS = 6_000, 100_000  # on the lawn
MOST_CELLS = 2_000_000  # of the whole grid, with what is no lawn


class Raster(NamedTuple):
    """An even grid; row 0 is the northernmost.

    Attributes
    ----------
    west, north : float
        The corner of the first cell [°].
    across, down : float
        Size of a cell [°].
    rows, columns : int
    """

    west: float
    north: float
    across: float
    down: float
    rows: int
    columns: int

    @classmethod
    def of(cls, sun: GridMap) -> Raster:
        """Return the grid of a map."""
        west, south, east, north = sun.bounds
        rows, columns = sun.cells.shape
        return cls(west, north, (east - west) / columns, (north - south) / rows, rows, columns)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """West, south, east and north edge [°]."""
        return (
            self.west,
            self.north - self.rows * self.down,
            self.west + self.columns * self.across,
            self.north,
        )

    def middles(self, cells: Places) -> Floats:
        """Return longitude and latitude of the middles of cells, by their place row by row."""
        row, column = np.divmod(cells, self.columns)
        return np.column_stack(
            [self.west + (column + 0.5) * self.across, self.north - (row + 0.5) * self.down]
        )

    def within(self, outline: BaseGeometry) -> Places:
        """Return the places of the cells whose middles lie in an outline."""
        west, south, east, north = outline.bounds
        columns = _between(
            (west - self.west) / self.across, (east - self.west) / self.across, self.columns
        )
        rows = _between(
            (self.north - north) / self.down, (self.north - south) / self.down, self.rows
        )
        cells = (rows[:, None] * self.columns + columns).ravel()
        inside = shapely.contains_xy(outline, self.middles(cells))
        return np.asarray(cells[inside])

    def map_of(self, cells: Places, hours: Floats) -> GridMap:
        """Return the hours of some cells as a map."""
        filled = np.full(self.rows * self.columns, np.nan, dtype=np.float32)
        filled[cells] = hours
        return GridMap(filled.reshape(self.rows, self.columns), self.bounds)


def raster(lawn: Shapes, frame: Frame, step_m: float) -> Raster:
    """Return the grid over all outlines, its cells squares of `step_m` at the frame's anchor."""
    west, south, east, north = shapely.total_bounds(lawn)
    corner = frame.to_lonlat(np.array([[step_m, step_m]]))[0]
    across, down = corner[0] - frame.longitude, corner[1] - frame.latitude
    return Raster(
        west,
        north,
        across,
        down,
        rows=max(1, math.ceil((north - south) / down)),
        columns=max(1, math.ceil((east - west) / across)),
    )


def spacing(area_m2: float, largest_box_m2: float, asked_m: float | None) -> float:
    """Return how far the points of the grid are to lie apart [m].

    Half a metre, or as much more as keeps it to 6,000 points, unless something else is asked.

    Parameters
    ----------
    area_m2 : float
        Of the lawn.
    largest_box_m2 : float
        Of the box round the largest cluster of zones.
    asked_m : float or None
        What a person wants.

    Raises
    ------
    InputRefused
        When what is asked for is too fine, naming what would do.
    """
    least = max(FINEST_M, _up(area_m2 / MOST_POINTS), _up(largest_box_m2 / MOST_CELLS))
    if asked_m is None:
        return max(USUAL_M, least, _up(area_m2 / USUAL_POINTS))
    if asked_m < least:
        raise InputRefused(
            f"points {asked_m:g} m apart are too many here",
            remedy=f"Give --step {least:g} or more.",
        )
    return asked_m


def _up(cell_m2: float) -> float:
    """Return the side of a square, rounded up to 10 cm [m]."""
    return math.ceil(round(10 * math.sqrt(cell_m2), 6)) / 10


def _between(low: float, high: float, count: int) -> Places:
    return np.arange(max(0, math.floor(low)), min(count, math.ceil(high) + 1))
