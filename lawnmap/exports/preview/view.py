"""From longitude and latitude to the pixels of a preview."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.frame import Frame, about
from lawnmap.geometry.grid import Box

Floats = npt.NDArray[np.float64]

INK = "#24302a"
WIDTH = 800  # pixels of the finished picture
LOWEST, HIGHEST = 240, 900  # of its drawing, without the foot
MARGIN = 28
SHARP = 2  # drawn so many times larger and then made smaller, for smooth edges
LEAST_M = 4.0  # across: a plan of one point is shown with some ground round it


class Drawn(NamedTuple):
    """One feature to draw: its kind, what is written on it, its shape [°], and whether filled."""

    kind: str
    name: str
    shape: BaseGeometry
    filled: bool = True


class View(NamedTuple):
    """A flat frame drawn at so many pixels a metre; all pixels are of the large drawing."""

    frame: Frame
    west_m: float
    north_m: float
    scale: float
    size: tuple[int, int]
    foot: int

    def pixels(self, lonlat: Floats) -> Floats:
        """Return (n, 2) columns and rows of (n, 2) longitudes and latitudes [°]."""
        metres = self.frame.to_metres(lonlat)
        return (metres - [self.west_m, self.north_m]) * [self.scale, -self.scale]

    def flat(self, shape: BaseGeometry) -> BaseGeometry:
        """Return a shape in longitude and latitude [°] as one in pixels."""
        moved: BaseGeometry = shapely.transform(shape, self.pixels)
        return moved


def view_of(bounds: Box, *, foot: int) -> View:
    """Return the view that shows `bounds` [°] whole, in the middle, above a foot of pixels."""
    frame = about(shapely.box(*bounds))
    west, south, east, north = bounds
    edge = np.array([[west, south], [east, south], [west, north], [east, north]])
    metres = frame.to_metres(edge)
    middle = (metres.min(axis=0) + metres.max(axis=0)) / 2
    wide, high = np.maximum(np.ptp(metres, axis=0), LEAST_M).tolist()
    room = WIDTH - 2 * MARGIN
    tall = float(np.clip(room * high / wide + 2 * MARGIN, LOWEST, HIGHEST))
    scale = min(room / wide, (tall - 2 * MARGIN) / high)
    corner = middle + np.array([-WIDTH, tall]) / (2 * scale)
    size = (WIDTH * SHARP, (round(tall) + foot) * SHARP)
    west_m, north_m = corner.tolist()
    return View(frame, west_m, north_m, scale * SHARP, size, foot * SHARP)
