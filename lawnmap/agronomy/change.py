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


class Spread(NamedTuple):
    """The variance of single values, and how many there are."""

    variance: float
    number: int


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
    return welch(
        by, Spread(variance(before), len(before)), Spread(variance(after), len(after)), level
    )


def welch(by: float, before: Spread, after: Spread, level: float = 0.95) -> Change:
    """Return a change of a mean with its interval, from the spread in each survey."""
    first, second = (each.variance / each.number for each in (before, after))
    if first + second == 0:
        return Change(by, by, by)
    freedom = (first + second) ** 2 / (
        first**2 / (before.number - 1) + second**2 / (after.number - 1)
    )
    half = student_quantile(level, max(math.floor(freedom + 1e-9), 1)) * math.sqrt(first + second)
    return Change(by, by - half, by + half)


def framed_change(
    before: Sequence[tuple[int, int]],
    after: Sequence[tuple[int, int]],
    level: float = 0.95,
    *,
    times: float = 1.0,
) -> Change:
    """Return the change of a share that was counted on the points of several frames.

    The points of one frame lie close together and are alike, so many points in few frames look
    surer than they are. Where both surveys have two frames or more, the interval is therefore
    widened to the one that the patchiness from frame to frame allows, when that is the wider.

    Parameters
    ----------
    before, after : sequence of (hits, points)
        One pair a frame.
    level : float
        Confidence, between 0 and 1.
    times : float
        Work it out as if the later survey had so many times its frames, all alike.

    Notes
    -----
    The variance of a share is taken to be that of counts, times the patchiness found in both
    surveys together, with Student's t at its degrees of freedom: P. McCullagh and J. A. Nelder,
    Generalized Linear Models, 2nd edition (1989), section 4.5 (from memory).
    """
    first, last = _summed(before), _summed(after)
    later = round(last[0] * times), round(last[1] * times)
    counted = share_change(first, later, level)
    if min(len(before), len(after)) < 2:  # noqa: PLR2004 - two frames make a spread
        return counted
    freedom = len(before) + round(len(after) * times) - 2
    variance = patchiness(before, after) * (_variance(*first) + _variance(*later))
    half = student_quantile(level, freedom) * math.sqrt(variance)
    # No more can go than there was, and no more can come than there is now.
    most_before, most_after = wilson(*first, level)[1], wilson(*later, level)[1]
    low, high = max(counted.by - half, -most_before), min(counted.by + half, most_after)
    return Change(counted.by, min(counted.low, low), max(counted.high, high))


def patchiness(*surveys: Sequence[tuple[int, int]]) -> float:
    """Return how many times more frames differ than counts of a share do by chance alone.

    Parameters
    ----------
    *surveys : sequence of (hits, points)
        Frames of each survey; at least one survey has two or more.

    Notes
    -----
    Pearson's X² over its degrees of freedom.

    Examples
    --------
    >>> patchiness([(40, 100), (60, 100)])
    8.0
    """
    squares, freedom = 0.0, -len(surveys)
    for frames in surveys:
        hits, points = _summed(frames)
        share = hits / points
        freedom += len(frames)
        if 0 < hits < points:
            squares += sum((h - n * share) ** 2 / (n * share * (1 - share)) for h, n in frames)
    return squares / freedom


def _variance(hits: int, points: int) -> float:
    return hits * (points - hits) / points**3


def _summed(frames: Sequence[tuple[int, int]]) -> tuple[int, int]:
    return sum(hits for hits, _ in frames), sum(points for _, points in frames)
