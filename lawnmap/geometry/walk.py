"""A walked line without what nobody walked: the points of pauses, and spikes.

The rules and their figures are common practice without a source; docs/plans/walk.md states them.
They are made to let every true corner live: the end of a strip of 1.5 m, the tip of a star.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

LEAST_STEP_M = 0.3  # nearer to the last point kept: the walker stood
PAUSE_M, PAUSE_S = 1.5, 20.0  # within this of one point for so long: the walker stood
PAUSE_POINTS = 4  # fewer are no pause: somebody may have stood at each corner to record it
PAUSE_LOOK = 200  # points looked at for one pause: ten a second
SPIKE_M, SPIKE_STEPS = 5.0, 3.0  # both legs longer than this, and than so many usual steps
SPIKE_M_S, SPIKE_SPEEDS = 3.0, 3.0  # and, where times are known, faster than anybody walks
SPIKE_TURN_DEG = 150.0
SPIKE_POINTS = 2  # the most that jump together
EVEN_POINTS, EVEN_M = (
    20,
    2.5,
)  # without times: a walk has so many points, its usual step is so short


class Cleaned(NamedTuple):
    """What is left of a walk.

    Attributes
    ----------
    kept : (n,) array of bool
        Which points are left; the first always is.
    paused, spikes : int
        How many points were left out because the walker stood, and how many because they jump.
    """

    kept: Flags
    paused: int
    spikes: int


def clean(points: Floats, seconds: Floats | None = None) -> Cleaned:
    """Tell the points of a walk from those of pauses and spikes.

    Parameters
    ----------
    points : (n, 2) array
        Metres.
    seconds : (n,) array, optional
        Time of each, never falling.

    Returns
    -------
    Cleaned
        Cleaning what is left once more changes nothing. A walk that would be left with fewer than
        two points is left as it is.
    """
    index = np.arange(len(points))
    paused = spikes = 0
    # Leaving out a spike can show a pause and the other way round; real walks need two rounds.
    for _ in range(max(5, 200_000 // max(len(points), 1))):
        here, when = points[index], None if seconds is None else seconds[index]
        if when is None and not _recorded(here):
            break
        stood = _stood(here)
        if not stood.any() and when is not None:
            stood = _pauses(here, when)
        jumped = np.zeros(len(index), bool) if stood.any() else _spikes(here, when)
        left_out = stood | jumped
        if not left_out.any():
            break
        paused, spikes = paused + int(stood.sum()), spikes + int(jumped.sum())
        index = index[~left_out]
    kept = np.zeros(len(points), bool)
    kept[index] = True
    if len(index) < 2 <= len(points):  # noqa: PLR2004 - a line has two ends
        return Cleaned(np.ones(len(points), bool), 0, 0)
    return Cleaned(kept, paused, spikes)


def _recorded(points: Floats) -> bool:
    """Tell a recorded walk from a drawn one, whose near corners and far ones are all meant."""
    steps = np.diff(points, axis=0)
    return len(points) >= EVEN_POINTS and bool(
        np.median(np.hypot(steps[:, 0], steps[:, 1])) <= EVEN_M
    )


def _stood(points: Floats) -> Flags:
    """Return which points are nearer than the least step to the last one kept."""
    stood = np.zeros(len(points), bool)
    last_x, last_y = math.inf, math.inf
    for number, (x, y) in enumerate(points.tolist()):
        if math.hypot(x - last_x, y - last_y) < LEAST_STEP_M:
            stood[number] = True
        else:
            last_x, last_y = x, y
    return stood


def _pauses(points: Floats, seconds: Floats) -> Flags:
    """Return which points come after the first of a stay in one place."""
    paused = np.zeros(len(points), bool)
    places, count, start = points.tolist(), len(points), 0
    ends = np.searchsorted(seconds, seconds + PAUSE_S).tolist()
    while start < count:
        end = ends[start]  # the first point that is long enough after
        x, y = places[start]
        if start + PAUSE_POINTS <= end < count and end - start <= PAUSE_LOOK:
            near = (math.hypot(a - x, b - y) < PAUSE_M for a, b in places[start + 1 : end + 1])
            if all(near):
                while end < count and math.dist(places[end], (x, y)) < PAUSE_M:
                    end += 1
                # The last points may lead away already, and round a corner.
                away = [math.dist(place, (x, y)) for place in places[start:end]]
                while away[-1] > away[-2] > 0:
                    away.pop()
                end = start + len(away)
                paused[start + 1 : end] = True
                start = end - 1
        start += 1
    return paused


def _spikes(points: Floats, seconds: Floats | None) -> Flags:
    """Return which points, one or two in a row, jump out and back faster than anybody walks."""
    jumped = np.zeros(len(points), bool)
    steps = np.diff(points, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    if len(lengths) < 3:  # noqa: PLR2004 - two legs and something to judge them by
        return jumped
    usual = float(np.median(lengths))
    long = lengths > max(SPIKE_M, SPIKE_STEPS * usual)
    fast = long if seconds is None else long & _fast(lengths, np.diff(seconds))
    explained = np.zeros(len(lengths), bool)
    for run in range(1, SPIKE_POINTS + 1):
        out, back = steps[:-run], steps[run:]
        both = lengths[:-run] * lengths[run:]
        turned = (out * back).sum(axis=1) < both * math.cos(math.radians(SPIKE_TURN_DEG))
        found = turned & fast[:-run] & fast[run:]
        if run > 1:
            found &= 2 * lengths[1 : 1 - run] < np.minimum(lengths[:-run], lengths[run:])
        for start in np.flatnonzero(found):
            if not explained[start : start + run + 1].any():
                jumped[start + 1 : start + run + 1] = True
                explained[start : start + run + 1] = True
    # Without times a long leg is no proof: some receivers leave out the points of a straight side,
    # and a thin spur then looks the same. So nothing is judged where others are long as well.
    if seconds is None and (long & ~explained).any():
        return np.zeros(len(points), bool)
    return jumped


def _fast(lengths: Floats, passed: Floats) -> Flags:
    moving = passed > 0
    usual = float(np.median(lengths[moving] / passed[moving])) if moving.any() else 0.0
    fast: Flags = lengths > max(SPIKE_M_S, SPIKE_SPEEDS * usual) * passed
    return fast
