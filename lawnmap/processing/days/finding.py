"""Days for the work of a plan, or of many: first seasons first, and less where all is too much."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

from lawnmap.logistics import overdue
from lawnmap.logistics.board import MANY_STEPS
from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import Schedule, dates
from lawnmap.logistics.domains import Group
from lawnmap.logistics.proof import Proof, prove
from lawnmap.logistics.topping import topped_up
from lawnmap.logistics.work import Step, Work
from lawnmap.processing.days.soonest import reach
from lawnmap.processing.days.waits import ROLE

HEART = ("blades", "clearing")  # of a renovation
MANY = 100  # groups without a day: too many to begin all over again, as are many steps


class Found(NamedTuple):
    """The work that finds days, its days, and by id why other steps find none."""

    work: Work
    schedule: Schedule
    reasons: dict[str, str]
    proof: Proof | None = None


def found(work: Work, *, prove_seconds: float = 0.0) -> Found:
    """Return the days of some work.

    Parameters
    ----------
    work : Work
    prove_seconds : float
        Time for SciPy's solver to look for better days and prove that there are none [s]; 0 is no.

    Raises
    ------
    ExtraNeeded
        When days are to be proven and SciPy is missing.
    RuntimeError
        When the days break a rule, which is a fault of ours.
    """
    cut = _first_seasons(work)
    schedule = dates(cut, told=False)
    much = len(schedule.undated) > MANY or len(work.steps) > MANY_STEPS
    if schedule.undated and much and not prove_seconds:
        result = Found(*topped_up(work, cut, schedule, less))
    else:
        result = _all_anew(work, cut, schedule, prove_seconds)
    faults = broken(result.work, result.schedule)
    if faults:
        raise RuntimeError(f"the schedule breaks its own rules: {faults[0]}")
    return result


def head(step_id: str) -> str:
    """Return the id of the row that a step is of, which may be cut into days."""
    return step_id.partition("/")[0]


def less(group: Group) -> Iterator[Group]:
    """Yield the steps of a zone, then without the last job, and so on, as far as it makes sense.

    Blades without clearing leave live moss about, and what comes before the blades is for them: up
    to the clearing it is all or nothing.
    """
    jobs = list(dict.fromkeys(head(step.id) for step in group))
    heart = [jobs.index(head(step.id)) for step in group if ROLE.get(step.operation) in HEART]
    for many in range(len(jobs), max(heart, default=0), -1):
        there = set(jobs[:many])
        yield tuple(step for step in group if head(step.id) in there)


def _all_anew(work: Work, cut: Work, schedule: Schedule, prove_seconds: float) -> Found:
    """Return the days of work of which all days may be found anew each time something changes."""
    work, schedule = _later_seasons(work, cut, schedule)
    late = {step.id for each in schedule.undated for step in each.steps}
    if late and (without := overdue.released(work, late)) != work:
        cut = _first_seasons(without)
        work, schedule = _later_seasons(without, cut, dates(cut, told=False))
    return _settled(work, schedule, prove_seconds)


def _first_seasons(work: Work) -> Work:
    """Return the work with each step kept to the season it can first be done in.

    A season later is a year lost to the grass: fewest visits are counted within the seasons.
    """
    reached = reach(work)
    return replace(work, steps=tuple(_first_run(step, reached) for step in work.steps))


def _later_seasons(work: Work, cut: Work, schedule: Schedule) -> tuple[Work, Schedule]:
    """Return the work and its days; later seasons are open where the first is full."""
    full = {step.id for each in schedule.undated for step in each.steps}
    if not full:
        return cut, schedule
    mixed = replace(cut, steps=tuple(work.by_id[s.id] if s.id in full else s for s in cut.steps))
    return mixed, dates(mixed)


def _settled(work: Work, schedule: Schedule, seconds: float) -> Found:
    """Return the work that finds days, its days, why other steps find none, and the proof."""
    proof = prove(work, seconds=seconds) if seconds else None
    work, schedule, reasons = _shortened(work, proof.schedule if proof else schedule)
    if proof and reasons:  # what is proven is proven of the work that is left
        proof = prove(work, seconds=max(seconds - proof.seconds, 0.0))
        schedule = proof.schedule
    return Found(work, schedule, reasons, proof)


def _first_run(step: Step, reached: Mapping[str, tuple[dt.date, dt.date]]) -> Step:
    early, _ = reached.get(head(step.id), (None, None))
    if early is None or not step.windows:
        return step
    last = min((each.last for each in step.windows if each.last >= early), default=dt.date.max)
    return replace(step, windows=tuple(each for each in step.windows if each.first <= last))


def _shortened(work: Work, schedule: Schedule) -> tuple[Work, Schedule, dict[str, str]]:
    """Give days to the first steps of a zone whose last find none, and say which were left out.

    One job of a zone is left out at a time; see :func:`less`.
    """
    reasons: dict[str, str] = {}
    while schedule.undated:
        for each in schedule.undated:
            tried = less(each.steps)
            next(tried, None)
            there = {step.id for step in next(tried, ())}
            reasons |= {step.id: each.sentence for step in each.steps if step.id not in there}
        kept = tuple(step for step in work.steps if step.id not in reasons)
        left = {step.id for step in kept}
        promised = {key: day for key, day in work.promised.items() if key in left}
        work = replace(work, steps=kept, promised=promised)
        schedule = dates(work)
    return work, schedule, reasons
