"""How many more samples now would tell a change from the noise, if what was seen is so."""

from __future__ import annotations

from bisect import bisect_left
from statistics import fmean, variance
from typing import TYPE_CHECKING

from lawnmap.agronomy.change import Change, Spread, framed_change, welch

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

MOST_TIMES = 20  # what was taken: who is told to count more than that will not


def frames_more(
    before: Sequence[tuple[int, int]], after: Sequence[tuple[int, int]], level: float = 0.95
) -> int | None:
    """Return how many more frames would tell a change of a share counted on points.

    The further frames are taken to be as large as those of the later survey and to show the same
    share with the same spread. So it is a guess, and chance may ask for more.

    Parameters
    ----------
    before, after : sequence of (hits, points)
        One pair a frame, as for :func:`lawnmap.agronomy.change.framed_change`.
    level : float
        Confidence, between 0 and 1.

    Returns
    -------
    int or None
        None when 20 times as many would not tell it: the earlier survey is too coarse for it.

    Examples
    --------
    >>> frames_more([(40, 100)], [(30, 100)])
    4
    >>> frames_more([(40, 100)], [(27, 100)])
    1
    """
    return _more(
        len(after),
        lambda number: framed_change(before, after, level, times=number / len(after)),
    )


def cores_more(before: Sequence[float], after: Sequence[float], level: float = 0.95) -> int | None:
    """Return how many more cores would tell a change of a mean; None when no number will do.

    Parameters
    ----------
    before, after : sequence of float
        At least two values each, as for :func:`lawnmap.agronomy.change.mean_change`.
    level : float
        Confidence, between 0 and 1.

    Examples
    --------
    >>> cores_more([19, 20, 20, 21], [16, 20])
    10
    """
    by = fmean(after) - fmean(before)
    first, spread = Spread(variance(before), len(before)), variance(after)
    return _more(len(after), lambda number: welch(by, first, Spread(spread, number), level))


def _more(taken: int, change: Callable[[int], Change]) -> int | None:
    """Return the least number above `taken` at which the change is clear, less `taken`."""
    numbers = range(taken, MOST_TIMES * taken + 1)
    if not change(numbers[-1]).clear:
        return None
    return bisect_left(numbers, 1, key=lambda number: int(change(number).clear))
