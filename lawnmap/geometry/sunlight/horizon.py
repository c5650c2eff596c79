"""The horizon over a grid of surface heights, as seen from points of ground."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.relief import Steps
from lawnmap.geometry.sunlight.path import FoldedSun
from lawnmap.geometry.sunlight.points import Points

Floats = npt.NDArray[np.float64]
Singles = npt.NDArray[np.float32]

BLOCK = 50_000  # looks at the surface at once: small enough for the processor to keep by it


def surface_horizon(
    points: Points, sun: FoldedSun, heights: Floats, first: tuple[float, float], steps: Steps
) -> Singles:
    """Return how high the surface stands on each of the sun's bearings.

    The surface is looked at every cell's width along the bearing, evenly between the middles of
    cells, from one cell away to as far as anything on it can stand above the lowest sun. All of it
    is taken as solid. Heights less exact than a point's own make a false horizon close by: take
    the points' heights from the same survey.

    Parameters
    ----------
    points : Points
    sun : FoldedSun
    heights : (rows, columns) array
        Above the points' datum, NaN where there is none [m].
    first : (float, float)
        Middle of the first cell [m].
    steps : Steps

    Returns
    -------
    (n, m) array
        Rises, for :func:`lawnmap.geometry.sunlight.hours.sun_hours`.
    """
    result = np.zeros((len(points.xyz), len(sun.bearing_deg)), dtype=np.float32)
    if not (np.isfinite(heights).any() and len(points.xyz)):
        return result
    to_grid = np.linalg.inv(np.array(steps))  # from metres to columns and rows
    start = ((points.xyz[:, :2] - np.array(first)) @ to_grid + 1).astype(np.float32)
    eye = points.xyz[:, 2:].astype(np.float32)
    turn = np.radians(sun.bearing_deg)
    ways = (np.column_stack([np.sin(turn), np.cos(turn)]) @ to_grid).astype(np.float32)
    ringed = np.pad(heights, 1, constant_values=np.nan).astype(np.float32)
    pace = steps.narrowest_m
    reach = _reach(points, sun, heights, first, steps)
    for bearing, way in enumerate(ways):
        away = pace * np.arange(1, 1 + int(reach[bearing] / pace), dtype=np.float32)
        size = max(1, BLOCK // max(1, len(away)))
        for begin in range(0, len(start), size):
            block = slice(begin, begin + size)
            column, row = (start[block, axis, None] + away * way[axis] for axis in (0, 1))
            rise = (_looked_up(ringed, column, row) - eye[block]) / away
            result[block, bearing] = np.fmax.reduce(rise, axis=1, initial=0)
    return result


def _reach(
    points: Points, sun: FoldedSun, heights: Floats, first: tuple[float, float], steps: Steps
) -> Floats:
    """Return how far off the surface can matter on each bearing [m]."""
    rows, columns = heights.shape
    ends = np.array([[0, 0], [columns, 0], [0, rows], [columns, rows]]) @ np.array(steps)
    across = np.hypot(*np.ptp(np.vstack([ends + np.array(first), points.xyz[:, :2]]), axis=0))
    above = max(0.0, float(np.nanmax(heights) - points.xyz[:, 2].min()))
    reach: Floats = np.minimum(above / np.maximum(sun.lowest, above / max(across, 1e-9)), across)
    return reach


def _looked_up(ringed: Singles, column: Singles, row: Singles) -> Singles:
    """Return heights evenly between the middles of four cells; NaN where one of them has none.

    Parameters
    ----------
    ringed : array
        The grid in a ring of NaN one cell wide, which is where all that lies off the grid falls.
    column, row : arrays
        Counted from the middle of the ring's first cell.
    """
    rows, columns = ringed.shape
    column, row = np.clip(column, 0, columns - 1.5), np.clip(row, 0, rows - 1.5)
    left, upper = column.astype(np.int32), row.astype(np.int32)
    column -= left.astype(np.float32)
    row -= upper.astype(np.float32)
    flat, place = ringed.ravel(), upper * columns + left
    above, below = flat[place], flat[place + columns]
    above += column * (flat[place + 1] - above)
    below += column * (flat[place + columns + 1] - below)
    looked_up: Singles = above + row * (below - above)
    return looked_up
