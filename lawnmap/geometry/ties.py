"""Two-point ties: where two tapes stretched from fixed points meet."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


class Apart(ValueError):
    """Two tapes do not meet.

    Attributes
    ----------
    gap_m : float
        By how much.
    too_long : int or None
        0 or 1 for the tape that is too long for the other and the line between the fixed points;
        None when both together are too short.
    """

    def __init__(self, gap_m: float, too_long: int | None) -> None:
        super().__init__(f"the tapes miss each other by {gap_m:.2f} m")
        self.gap_m = gap_m
        self.too_long = too_long


class Meeting(NamedTuple):
    """Both points where the tapes meet, walking from the first fixed point to the second."""

    left: Floats
    right: Floats
    crossing_deg: float  # angle at which the tapes cross; 0 or 180 is in line


def meet(first: Floats, second: Floats, from_first: float, from_second: float) -> Meeting:
    """Return where tapes of two lengths meet.

    With b from the first point to the second: x = (d1² − d2² + b²) / 2b along that line and
    y = ±√(d1² − x²) across it.

    Parameters
    ----------
    first, second : (2,) array
        The fixed points [m].
    from_first, from_second : float
        Lengths of the tapes [m], above zero.

    Raises
    ------
    Apart
        When they do not meet: by how much, and which one is too long.
    ValueError
        When both fixed points are one.

    Examples
    --------
    >>> meet(np.zeros(2), np.array([5.0, 0.0]), 3, 4).left.round(9).tolist()
    [1.8, 2.4]
    """
    along = second - first
    base = math.hypot(*along)
    if base <= 0:
        raise ValueError("both fixed points are one")
    if from_first + from_second < base:
        raise Apart(base - from_first - from_second, None)
    if abs(from_first - from_second) > base:
        too_long = 0 if from_first > from_second else 1
        raise Apart(abs(from_first - from_second) - base, too_long)
    u = along / base
    x = (from_first**2 - from_second**2 + base**2) / (2 * base)
    y = math.sqrt(max(from_first**2 - x**2, 0.0))
    foot, across = first + x * u, y * np.array([-u[1], u[0]])
    cosine = (from_first**2 + from_second**2 - base**2) / (2 * from_first * from_second)
    crossing = math.degrees(math.acos(min(max(cosine, -1.0), 1.0)))
    return Meeting(foot + across, foot - across, crossing)


def left_of(start: Floats, end: Floats, point: Floats) -> float:
    """Return how far `point` lies left of the line walked from `start` to `end` [m].

    Negative to the right; each is a (2,) array.
    """
    (dx, dy), (px, py) = end - start, point - start
    length = math.hypot(dx, dy)
    return float((dx * py - dy * px) / length) if length > 0 else 0.0
