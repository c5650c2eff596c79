"""Whether two surveys differ by more than their own noise."""

from __future__ import annotations

import math
from statistics import fmean, variance
from typing import TYPE_CHECKING, NamedTuple

from lawnmap.agronomy.sampling import student_quantile, wilson

if TYPE_CHECKING:
    from collections.abc import Sequence


class Change(NamedTuple):
    """After less before, and the interval it lies in."""

    by: float
    low: float
    high: float

    @property
    def clear(self) -> bool:
        """Whether the interval leaves out zero."""
        return self.low > 0 or self.high < 0


def share_change(before: tuple[int, int], after: tuple[int, int], level: float = 0.95) -> Change:
    """Return the change of a share that was counted on points both times.

    Parameters
    ----------
    before, after : (hits, points)
    level : float
        Confidence, between 0 and 1.

    Notes
    -----
    Method 10 of R. G. Newcombe, Statistics in Medicine 17 (1998), 873-890: made from the two
    score intervals, so it holds for few points and for shares near none and all.

    Examples
    --------
    >>> by, low, high = share_change((48, 80), (56, 70))
    >>> f"{by:.4f} {low:.4f} {high:.4f}"
    '0.2000 0.0524 0.3339'
    """
    first, second = before[0] / before[1], after[0] / after[1]
    first_low, first_high = wilson(*before, level)
    second_low, second_high = wilson(*after, level)
    by = second - first
    down = math.hypot(second - second_low, first_high - first)
    up = math.hypot(second_high - second, first - first_low)
    return Change(by, by - down, by + up)


def mean_change(before: Sequence[float], after: Sequence[float], level: float = 0.95) -> Change:
    """Return the change of a mean, each survey with its own spread (Welch).

    Degrees of freedom are rounded down, which widens the interval a little. Where neither survey
    has any spread the interval has no width.

    Parameters
    ----------
    before, after : sequence of float
        At least two values each.
    level : float
        Confidence, between 0 and 1.

    Raises
    ------
    ValueError
        For a survey of fewer than two values, which has no spread.
    """
    if min(len(before), len(after)) < 2:  # noqa: PLR2004 - two values make a spread
        raise ValueError("a spread needs at least two samples in each survey")
    by = fmean(after) - fmean(before)
    first, second = (variance(each) / len(each) for each in (before, after))
    if first + second == 0:
        return Change(by, by, by)
    freedom = (first + second) ** 2 / (first**2 / (len(before) - 1) + second**2 / (len(after) - 1))
    half = student_quantile(level, max(math.floor(freedom + 1e-9), 1)) * math.sqrt(first + second)
    return Change(by, by - half, by + half)


def framed_change(
    before: Sequence[tuple[int, int]], after: Sequence[tuple[int, int]], level: float = 0.95
) -> Change:
    """Return the change of a share that was counted on the points of several frames.

    The points of one frame lie close together and are alike, so many points in few frames look
    surer than they are. Where both surveys have two frames or more, the interval is therefore
    widened to the one that the spread from frame to frame allows, when that is the wider.

    Parameters
    ----------
    before, after : sequence of (hits, points)
        One pair a frame.
    level : float
        Confidence, between 0 and 1.
    """
    counted = share_change(_sum(before), _sum(after), level)
    if min(len(before), len(after)) < 2:  # noqa: PLR2004 - two frames make a spread
        return counted
    spread = mean_change(_shares(before), _shares(after), level)
    down = max(counted.by - counted.low, spread.by - spread.low)
    up = max(counted.high - counted.by, spread.high - spread.by)
    return Change(counted.by, max(counted.by - down, -1.0), min(counted.by + up, 1.0))


def _sum(frames: Sequence[tuple[int, int]]) -> tuple[int, int]:
    return sum(hits for hits, _ in frames), sum(points for _, points in frames)


def _shares(frames: Sequence[tuple[int, int]]) -> list[float]:
    return [hits / points for hits, points in frames]
