"""The order in which to go round places, shortest first to last, from a start."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

EXACT_UP_TO = 10  # places; beyond, each more doubles time and memory
MENDED_UP_TO = 400  # places; beyond, the nearest is taken each time and nothing is turned round
GAIN = 1e-9  # metres; less than this is no gain, and would go round for ever


def shortest_walk(metres: ArrayLike) -> list[int]:
    """Return the places 1 to n in the order of a short walk from place 0, which does not return.

    Parameters
    ----------
    metres : (n + 1, n + 1) array_like
        Distance between any two places, the same both ways; place 0 is the start.

    Returns
    -------
    list of int
        Up to 10 places it is the shortest of all. Beyond, it starts as "the nearest next" and any
        stretch is turned round that makes it shorter.

    Examples
    --------
    >>> shortest_walk([[0, 9, 2], [9, 0, 5], [2, 5, 0]])
    [2, 1]
    """
    far = np.asarray(metres, dtype=np.float64)
    count = len(far) - 1
    if count <= EXACT_UP_TO:
        return _exact(far)
    order = _nearest(far)
    return _mended(order, far) if count <= MENDED_UP_TO else order


def walk_round(places: ArrayLike) -> list[int]:
    """Return places 1 to n in the order of a short walk from place 0, as the crow flies.

    As :func:`shortest_walk`; of many places no table of all distances is made, which would not fit.

    Parameters
    ----------
    places : (n + 1, 2) array_like
        East and north [m]; place 0 is the start.
    """
    at = np.asarray(places, dtype=np.float64)
    if len(at) <= MENDED_UP_TO + 1:
        return shortest_walk(np.hypot(*(at[:, None] - at[None]).transpose(2, 0, 1)))
    return _next_each_time(len(at), lambda here: np.hypot(*(at - at[here]).T))


def length(order: list[int], metres: ArrayLike) -> float:
    """Return the length of a walk from place 0 through the others in order [m]."""
    far = np.asarray(metres, dtype=np.float64)
    return float(sum(far[one, other] for one, other in itertools.pairwise([0, *order])))


def _exact(far: Floats) -> list[int]:
    """Return the shortest walk by the best way to end each set of places at each of them."""
    count = len(far) - 1
    # best[set, last]: length of the shortest walk from the start through a set, ending at last.
    best = np.full((1 << count, count), np.inf)
    before = np.zeros((1 << count, count), dtype=np.intp)
    for last in range(count):
        best[1 << last, last] = far[0, last + 1]
    for places in range(1, 1 << count):
        for last in range(count):
            rest = places & ~(1 << last)
            if rest == places or not rest:
                continue
            ways = best[rest] + far[1:, last + 1]
            before[places, last] = np.argmin(ways)
            best[places, last] = ways[before[places, last]]
    return _walked_back(best, before, count)


def _walked_back(best: Floats, before: NDArray[np.intp], count: int) -> list[int]:
    order: list[int] = []
    places = (1 << count) - 1
    last = int(np.argmin(best[places])) if count else 0
    while places:
        order.append(last + 1)
        places, last = places & ~(1 << last), int(before[places, last])
    return order[::-1]


def _nearest(far: Floats) -> list[int]:
    return _next_each_time(len(far), lambda here: far[here])


def _next_each_time(count: int, metres_from: Callable[[int], Floats]) -> list[int]:
    order, here = [], 0
    left = np.ones(count, dtype=bool)
    left[0] = False
    while left.any():
        here = int(np.argmin(np.where(left, metres_from(here), np.inf)))
        left[here] = False
        order.append(here)
    return order


def _mended(order: list[int], far: Floats) -> list[int]:
    """Turn round the stretch whose turning saves most, until none saves anything."""
    walk = np.array([0, *order])
    while True:
        steps = far[walk[:-1], walk[1:]]
        # Turning walk[i + 1 .. j] joins i with j, and i + 1 with what follows j, if anything does.
        joined = far[np.ix_(walk[:-1], walk[1:])]
        after = np.zeros_like(joined)
        after[:, :-1] = far[np.ix_(walk[1:], walk[2:])] - steps[None, 1:]
        gain = np.triu(steps[:, None] - joined - after, k=1)
        first, last = np.unravel_index(int(np.argmax(gain)), gain.shape)
        if gain[first, last] <= GAIN:
            return [int(each) for each in walk[1:]]
        walk[first + 1 : last + 2] = walk[first + 1 : last + 2][::-1]
