"""Better dates, or the proof that there are none, by a solver of whole-number programmes.

A proof is claimed for an aim only when the solver leaves no gap, or shows that there is no
schedule with less.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

from lawnmap.logistics.asking import Asking, Found, Solver
from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import Schedule, dates, written
from lawnmap.logistics.work import Work

AIMS = ("steps without a date", "promised dates moved", "visit days", "days of hire", "finish")
FINISH = AIMS.index("finish")
STRETCHES = 0.5  # of the time that is left: to ask within few days
ALL_DAYS = 0.8  # and then over all days at once


@dataclass(frozen=True)
class Proof:
    """Dates the solver found, or those of the list when it found none better.

    Attributes
    ----------
    schedule : Schedule
    proven : tuple of str
        The aims, from the first on, of which it is proven that none is better.
    seconds : float
        Time taken [s].
    """

    schedule: Schedule
    proven: tuple[str, ...]
    seconds: float

    def told(self) -> str:
        """Return what is proven in one sentence."""
        left = [aim for aim in AIMS if aim not in self.proven]
        said = f"Proven in {self.seconds:.0f} s: {', '.join(self.proven) or 'nothing'}"
        return f"{said}; not proven: {', '.join(left)}." if left else f"{said}."


def prove(work: Work, *, seconds: float = 60.0) -> Proof:
    """Look for better dates than the list has, aim by aim, until none is possible or time is up.

    Parameters
    ----------
    work : Work
    seconds : float
        Time for all aims together [s].

    Raises
    ------
    ExtraNeeded
        When SciPy is not installed.
    """
    begun = time.monotonic()
    asking = Asking(work, Solver())
    listed = dates(work)
    best = asking.found(listed)
    proven: list[str] = []
    for place, aim in enumerate(AIMS):
        left = seconds - (time.monotonic() - begun)
        best, settled = _settled(asking, place, best, left)
        if not settled:
            break
        proven.append(aim)
    schedule = listed
    if best != asking.found(listed):
        schedule = written(work, best.places, asking.without)
    if broken(work, schedule):  # no answer of a solver is believed unseen
        schedule, proven = listed, []
    searched = schedule.searched or "visit days" in proven
    return Proof(replace(schedule, searched=searched), tuple(proven), time.monotonic() - begun)


def _settled(asking: Asking, place: int, best: Found, seconds: float) -> tuple[Found, bool]:
    """Return the best dates for an aim, those before it settled; and whether none are better."""
    before, have = best.counts[:place], best.counts[place]
    if place == FINISH:
        found, settled = asking.soonest(before, seconds, before=have)
        return found or best, settled
    begun, settled = time.monotonic(), True
    while settled and (least := asking.least[place]) < have:
        left = seconds - (time.monotonic() - begun)
        found, settled = asking.soonest((*before, least), STRETCHES * left)
        if found is not None:
            return found, True
        if settled:
            asking.least[place] += 1
    if not settled:
        left = seconds - (time.monotonic() - begun)
        found, settled = asking.fewest(best.counts[: place + 1], ALL_DAYS * left)
        best = found or best
    if place == 0 and best.counts[0]:
        asking.least[1:] = [0] * len(asking.least[1:])  # the bound is that of all groups together
    return best, settled
