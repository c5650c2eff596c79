"""How many sides of two lines meet, counted without making anything of them.

Working out where lines cross takes time and room with every crossing, and a scribble of some
thousand sides has millions. So they are counted first.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

BLOCK = 500_000  # pairs looked at in one go


def meetings(one: Floats, other: Floats, most: int) -> int:
    """Return how many pairs of sides, one of each line, have a point in common.

    Parameters
    ----------
    one, other : (n, 2) array
        Corners.
    most : int
        Counting ends as soon as there are more.

    Examples
    --------
    >>> square = np.array([(0, 0), (4, 0), (4, 4), (0, 4)], dtype=float)
    >>> meetings(square, np.array([(2, -1), (2, 5)], dtype=float), most=9)
    2
    """
    count, rows = 0, max(1, BLOCK // max(len(other) - 1, 1))
    for start in range(0, len(one) - 1, rows):
        part = one[start : start + rows + 1]
        met = _apart_by(part, other) & _apart_by(other, part).T & _boxes_meet(part, other)
        count += int(met.sum())
        if count > most:
            break
    return count


def _apart_by(line: Floats, sides: Floats) -> Flags:
    """Return whether the ends of each of the other sides are not both on one hand of each side."""
    (x1, y1), (x2, y2) = line[:-1].T[:, :, None], line[1:].T[:, :, None]
    hand = np.sign((x2 - x1) * (sides[:, 1] - y1) - (sides[:, 0] - x1) * (y2 - y1))
    apart: Flags = hand[:, :-1] * hand[:, 1:] <= 0
    return apart


def _boxes_meet(one: Floats, other: Floats) -> Flags:
    low, high = np.minimum(one[:-1], one[1:])[:, None], np.maximum(one[:-1], one[1:])[:, None]
    low_other, high_other = np.minimum(other[:-1], other[1:]), np.maximum(other[:-1], other[1:])
    meet: Flags = np.all((low <= high_other) & (low_other <= high), axis=2)
    return meet
