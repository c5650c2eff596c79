"""A walked line as a receiver wrote it: its times, and what of it is left out."""

from __future__ import annotations

import datetime as dt
from itertools import compress, pairwise
from typing import TYPE_CHECKING

import numpy as np

from lawnmap.geometry import walk
from lawnmap.geometry.frame import Frame

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lawnmap.readers.gathering import Gathering

LONGEST = 40  # characters of a time
BAD_TIMES = "Not used to find pauses, times that are none or that go back"


def cleaned(
    gathering: Gathering, line: list[list[float]], times: Sequence[object], place: str
) -> list[list[float]]:
    """Return the positions of a walk without those of pauses and spikes, and tell how many.

    Parameters
    ----------
    gathering : Gathering
        Told what was left out.
    line : list of [longitude, latitude]
        As in the file; a position that is not on the earth is for the gathering to refuse.
    times : sequence
        Of each position, as text or seconds; empty or None where there is none.
    place : str
        Where the walk stands in the file.
    """
    degrees = np.array(line, dtype=float).reshape(-1, 2)
    if not len(line) or not (np.abs(degrees) <= [180, 90]).all():
        return line
    passed = seconds(times)
    if passed is None and seconds([time for time in times if time not in {None, ""}]) is None:
        gathering.note(BAD_TIMES, place)
    metres = Frame(*degrees[0]).to_metres(degrees)
    found = walk.clean(metres, None if passed is None else np.array(passed))
    if found.paused or found.spikes:
        parts = [(found.paused, "point", " where the walker stood"), (found.spikes, "spike", "")]
        told = " and ".join(
            f"{count} {noun}{'' if count == 1 else 's'}{where}"
            for count, noun, where in parts
            if count
        )
        gathering.warn(f"{place}: {told} left out of {len(line)} points.")
    return list(compress(line, found.kept.tolist()))


def seconds(times: Sequence[object]) -> list[float] | None:
    """Return times as seconds; None when one is missing, is no time, or comes before the last.

    Text is ISO 8601; without an offset it is taken for UTC, as only differences matter.

    Examples
    --------
    >>> seconds(["2027-03-01T09:00:00Z", "2027-03-01T10:00:01.5+01:00"])
    [1803891600.0, 1803891601.5]
    """
    found: list[float] = []
    for time in times:
        value = _second(time)
        if value is None:
            return None
        found.append(value)
    return found if all(one <= other for one, other in pairwise(found)) else None


def _second(time: object) -> float | None:
    if isinstance(time, int | float):
        return float(time)
    if not isinstance(time, str) or len(time) > LONGEST:
        return None
    try:
        moment = dt.datetime.fromisoformat(time.strip())
        utc = moment if moment.tzinfo else moment.replace(tzinfo=dt.UTC)
        return utc.timestamp()
    except (ValueError, OverflowError):
        return None
