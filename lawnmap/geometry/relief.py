"""A grid of heights: the slope of each cell, how it stretches a lawn, and the noise in it.

Sources
-------
Horn, "Hill shading and the reflectance map", Proceedings of the IEEE 69 (1981): the weights of the
eight neighbours. Jenness, "Calculating landscape surface area from digital elevation models",
Wildlife Society Bulletin 32(3):829-839 (2004): the eight triangles round a cell.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry.surface import Facets

Floats = npt.NDArray[np.float64]

# Clockwise from the upper left: row and column of each neighbour of a cell.
ROUND = ((-1, -1), (-1, 0), (-1, 1), (0, 1), (1, 1), (1, 0), (1, -1), (0, -1))


class Steps(NamedTuple):
    """How far it is on the map from a cell to the next: one column on, and one row down [m]."""

    column: tuple[float, float]
    row: tuple[float, float]

    @property
    def cell_m2(self) -> float:
        """Map area of a cell."""
        (ax, ay), (bx, by) = self
        return abs(ax * by - ay * bx)

    def times(self, count: int) -> Steps:
        """Return the steps of cells that are `count` times as long."""
        (ax, ay), (bx, by) = self
        return Steps((count * ax, count * ay), (count * bx, count * by))

    @property
    def narrowest_m(self) -> float:
        """The shorter height of the cell, which is its side when it is a square."""
        longer = float(max(np.hypot(*self.column), np.hypot(*self.row)))
        return self.cell_m2 / longer if longer else 0.0


def facets(heights: Floats, first: tuple[float, float], steps: Steps) -> Facets:
    """Return the cells of a grid that have a height and at least a neighbour each way.

    Parameters
    ----------
    heights : (rows, columns) array
        NaN where there is none [m].
    first : (float, float)
        Middle of the first cell [m].
    steps : Steps
    """
    around = neighbours(heights)
    slope, factor = horn(heights, around, steps), jenness(heights, around, steps)
    row, column = np.nonzero(np.isfinite(slope))
    along, down = np.array(steps.column), np.array(steps.row)
    middle = np.array(first) + column[:, None] * along + row[:, None] * down
    corners = np.array([-along - down, along - down, along + down, down - along, -along - down])
    shapes = shapely.polygons(middle[:, None, :] + corners / 2)
    return Facets(np.asarray(shapes, dtype=object), slope[row, column], factor[row, column])


def neighbours(heights: Floats) -> Floats:
    """Return the heights of the eight neighbours of each cell, clockwise from the upper left.

    One that is missing is taken to lie as its opposite does, mirrored in the cell; a corner with no
    opposite, as the plane through the sides has it. Where both sides of a cell are missing there is
    no telling, and the cell's own are NaN.

    Returns
    -------
    (8, rows, columns) array
    """
    rows, columns = heights.shape
    wide = np.pad(heights, 1, constant_values=np.nan)
    around = np.array(
        [wide[1 + down : 1 + down + rows, 1 + on : 1 + on + columns] for down, on in ROUND]
    )
    mirrored = 2 * heights - np.roll(around, 4, axis=0)
    around = np.where(np.isnan(around), mirrored, around)
    sides = around[1::2]
    corners = around[0::2]
    through = np.roll(sides, 1, axis=0) + sides - heights
    around[0::2] = np.where(np.isnan(corners), through, corners)
    return np.where(np.isnan(sides).any(axis=0), np.nan, around)


def horn(heights: Floats, around: Floats, steps: Steps) -> Floats:
    """Return the slope of each cell by Horn's weights [°].

    Examples
    --------
    The published example of "How slope works" has 75.25762 with a rounded factor to degrees.

    >>> cell = np.array([[50.0, 45, 50], [30, 30, 30], [8, 10, 10]])
    >>> round(float(horn(cell, neighbours(cell), Steps((5, 0), (0, -5)))[1, 1]), 5)
    75.25766
    """
    nw, n, ne, e, se, s, sw, w = around
    rise = np.array([ne + 2 * e + se - nw - 2 * w - sw, sw + 2 * s + se - nw - 2 * n - ne]) / 8
    # Rise to a column and to a row, as rise to a metre east and north; the steps may be askew.
    east, north = np.tensordot(np.linalg.inv(np.array(steps)), rise, axes=1)
    slope: Floats = np.degrees(np.arctan(np.hypot(east, north)))
    return np.where(np.isnan(heights), np.nan, slope)


def jenness(heights: Floats, around: Floats, steps: Steps) -> Floats:
    """Return ground area over map area of each cell by Jenness's eight triangles.

    Each triangle spans the middle of the cell and two neighbours; the quarter of it that is nearest
    the middle lies in the cell.
    """
    along, down = np.array(steps.column), np.array(steps.row)
    arms = []
    for place, (row, column) in enumerate(ROUND):
        east, north = column * along + row * down
        rise = around[place] - heights
        arms.append(np.stack([np.full_like(rise, east), np.full_like(rise, north), rise], -1) / 2)
    ground = np.zeros(heights.shape)
    for one, other in zip(arms, arms[1:] + arms[:1], strict=True):
        ground = ground + np.linalg.norm(np.cross(one, other), axis=-1) / 2
    return ground / steps.cell_m2


def noise_m(heights: Floats) -> float:
    """Return the standard error of single heights, as far as one does not follow from the next.

    The second difference along rows of the second difference along columns vanishes on any
    quadratic surface; of independent errors it has 36 times the variance. Edges and walls do not
    move its median. Errors that neighbours share are not seen.

    References
    ----------
    Immerkær, "Fast noise variance estimation", Computer Vision and Image Understanding 64 (1996),
    from memory.
    """
    bend = np.diff(np.diff(heights, 2, axis=0), 2, axis=1)
    known = np.abs(bend[np.isfinite(bend)])
    return float(1.4826 * np.median(known) / 6) if len(known) else 0.0


def blocks(heights: Floats, side: int) -> Floats:
    """Return the means of blocks of `side` by `side` cells; one not half full is NaN.

    What slopes over the whole grid is taken off before and put back after, so that a block that
    lacks cells on one side is not drawn to the other.
    """
    rows, columns = (-(-length // side) * side for length in heights.shape)
    row, column = np.indices((rows, columns), dtype=np.float64)
    known = np.isfinite(heights)
    row_of, column_of = np.nonzero(known)
    ones = np.column_stack([row_of, column_of, np.ones(len(row_of))])
    rise, *_ = np.linalg.lstsq(ones, heights[known], rcond=None)
    even = rise[0] * row + rise[1] * column + rise[2]
    rest = np.full((rows, columns), np.nan)
    rest[: heights.shape[0], : heights.shape[1]] = heights
    rest = _blocked(rest - even, side)
    count = np.isfinite(rest).sum(axis=-1)
    total = np.nansum(rest, axis=-1)
    mean = np.divide(total, count, out=np.full(total.shape, np.nan), where=2 * count >= side**2)
    result: Floats = mean + _blocked(even, side).mean(axis=-1)
    return result


def _blocked(cells: Floats, side: int) -> Floats:
    """Return (rows, columns, cells of a block) from cells whose counts `side` divides."""
    rows, columns = (length // side for length in cells.shape)
    return cells.reshape(rows, side, columns, side).swapaxes(1, 2).reshape(rows, columns, -1)
