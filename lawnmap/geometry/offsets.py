"""Offsets from a base line: where they lead, and areas by them and by coordinates."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

EQUAL = 1e-6  # of the interval: within this, strips count as equally wide


def place(start: Floats, end: Floats, along_m: float, left_m: float) -> Floats:
    """Return the point `along_m` on from `start` towards `end` and `left_m` to the left of there.

    Raises
    ------
    ValueError
        When the line has no length.
    """
    line = end - start
    length = math.hypot(*line)
    if length <= 0:
        raise ValueError("the line has no length")
    u = line / length
    point: Floats = start + along_m * u + left_m * np.array([-u[1], u[0]])
    return point


def equal_interval(along_m: Floats) -> float | None:
    """Return the width of the strips [m] when all are equally wide, else None.

    Parameters
    ----------
    along_m : (n,) array
        Where the offsets stand on the base line, in order; n of 2 up.
    """
    widths = np.diff(along_m)
    mean = float(widths.mean())
    return mean if mean > 0 and bool((np.abs(widths - mean) <= EQUAL * mean).all()) else None


def average_ordinate(offsets_m: Floats, interval_m: float) -> float:
    """Return the mean of the offsets times the length of the base line [m²]."""
    return float(np.mean(offsets_m)) * interval_m * (len(offsets_m) - 1)


def trapezoidal(along_m: Floats, offsets_m: Floats) -> float:
    """Return the area between a base line and the ends of its offsets [m²], straight between them.

    Parameters
    ----------
    along_m, offsets_m : (n,) arrays
        Strips may be of any width.
    """
    return float(((offsets_m[1:] + offsets_m[:-1]) / 2 * np.diff(along_m)).sum())


def simpson(offsets_m: Floats, interval_m: float) -> float:
    """Return the same area [m²] with arcs of parabolas over each two strips of one width.

    The rule takes an odd number of offsets. With an even number it is used on all strips but the
    last, which is taken as a trapezium.

    References
    ----------
    Simpson's one-third rule, in any surveying text; the way with an even number likewise.
    """
    odd = len(offsets_m) - 1 if len(offsets_m) % 2 == 0 else len(offsets_m)
    arcs = offsets_m[:odd]
    area = 0.0
    if odd > 1:
        weighted = arcs[0] + arcs[-1] + 4 * arcs[1:-1:2].sum() + 2 * arcs[2:-1:2].sum()
        area = float(weighted) * interval_m / 3
    if odd < len(offsets_m):
        area += float(offsets_m[-2] + offsets_m[-1]) / 2 * interval_m
    return area


def area_by_coordinates(corners: Floats) -> float:
    """Return the area of an outline by the coordinates of its corners, in their units squared.

    Parameters
    ----------
    corners : (n, 2) array
        In the order walked, either way round; the first is not repeated.

    Raises
    ------
    ValueError
        When two sides cross: the formula would give one part less the other.
    """
    sides = crossing(corners)
    if sides is not None:
        raise ValueError(f"side {sides[0] + 1} crosses side {sides[1] + 1}")
    near = corners - corners[0]  # far from the origin the products would lose their digits
    x, y = near.T
    return abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2


def crossing(corners: Floats) -> tuple[int, int] | None:
    """Return the first two sides of an outline that cross, side i leading to corner i + 1."""
    near = corners - corners[0]
    start, end = near, np.roll(near, -1, axis=0)
    before = _turn(start[:, None], end[:, None], start[None])
    after = _turn(start[:, None], end[:, None], end[None])
    parts = before * after < 0  # [i, j]: the ends of side j lie on both hands of side i
    pairs = np.argwhere(np.triu(parts & parts.T))
    return (int(pairs[0][0]), int(pairs[0][1])) if len(pairs) else None


def _turn(start: Floats, end: Floats, point: Floats) -> Floats:
    """Return on which hand of start → end each point lies: above zero for left."""
    line, there = end - start, point - start
    turn: Floats = np.sign(line[..., 0] * there[..., 1] - line[..., 1] * there[..., 0])
    return turn
