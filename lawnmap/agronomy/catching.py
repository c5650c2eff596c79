"""What a catch test says beyond a rate: bad nozzles, the width of spread, the next setting."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from statistics import fmean
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

FEWEST_TRAYS = 3


class CatchTest(NamedTuple):
    """What a spreader was found to put on of a product, at what its dial stood at."""

    day: dt.date
    product: str
    setting: str
    rate_g_m2: float


def off_mean(outputs: Sequence[float]) -> tuple[float, ...]:
    """Return by what share each nozzle gives more (or less, below zero) than the mean of all.

    Examples
    --------
    >>> [round(each, 3) for each in off_mean([1.0, 1.0, 1.3])]
    [-0.091, -0.091, 0.182]
    """
    mean = fmean(outputs)
    return tuple(each / mean - 1 for each in outputs)


def spread_width(caught: Sequence[float], spacing_m: float, share: float) -> float:
    """Return the width [m] at which to walk lines with a spreader that throws to both sides.

    Parameters
    ----------
    caught : sequence of float
        What each tray of a row across the run caught, from left to right; the middle one lay in
        the spreader's path.
    spacing_m : float
        From the middle of one tray to the next [m].
    share : float
        Of the middle tray's catch: the width ends where so much is caught on either side.

    Raises
    ------
    ValueError
        For an even number of trays, fewer than three, an empty middle one, or trays that do not
        reach to where so little falls.
    """
    if len(caught) < FEWEST_TRAYS or len(caught) % 2 == 0 or not spacing_m > 0:
        raise ValueError("an odd number of trays, at least three, is needed, evenly spaced")
    middle = len(caught) // 2
    least = caught[middle] * share
    if not least > 0:
        raise ValueError("the middle tray caught nothing")
    left = _reach(caught[middle::-1], least)
    right = _reach(caught[middle:], least)
    return (left + right) * spacing_m


def _reach(side: Sequence[float], least: float) -> float:
    """Return how many trays out from the middle the catch falls to `least`, between two trays."""
    for number, (inner, outer) in enumerate(pairwise(side)):
        if outer <= least:
            return number + (inner - least) / (inner - outer)
    raise ValueError("the trays do not reach far enough: the last one still caught too much")


def nearest(rates: Sequence[float], wanted: float) -> int:
    """Return the place of the rate that is off by the smallest share; of equals the last.

    Examples
    --------
    >>> nearest([34.2, 18.0], 17.5)
    1
    """
    return min(range(len(rates)), key=lambda place: (abs(rates[place] / wanted - 1), -place))


def setting_for(tried: Iterable[tuple[float, float]], wanted: float) -> float | None:
    """Return the setting between two that were tried at which the wanted rate is to be expected.

    Parameters
    ----------
    tried : iterable of (setting, rate)
        Each setting once; of several tests of one setting the last counts.
    wanted : float
        In the unit of the rates.

    Returns
    -------
    float or None
        None unless two settings lie on either side: nothing is guessed beyond what was tried.
        Between the two it is taken in proportion, so it is to be tested before it is used.
    """
    known = sorted(dict(tried).items())
    for (low, less), (high, more) in pairwise(known):
        if min(less, more) <= wanted <= max(less, more) and less != more:
            return low + (high - low) * (wanted - less) / (more - less)
    return None
