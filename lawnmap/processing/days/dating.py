"""The step ``dates``: a day for every step, or why there is none.

Hard are the waits, the seasons, closed days, hours of people and machines, and what is on record;
then the aims of :mod:`lawnmap.logistics.dates` in their order.
"""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import pandas as pd

from lawnmap.days import Calendar, Dates
from lawnmap.logistics import overdue
from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import Moved, Schedule, dates
from lawnmap.logistics.proof import Proof, prove
from lawnmap.logistics.work import Step, Work
from lawnmap.model import Specification
from lawnmap.processing.days import joblist
from lawnmap.processing.days.joblist import Windows
from lawnmap.processing.days.sittings import Key, name
from lawnmap.processing.days.soonest import reach
from lawnmap.processing.days.waits import IF_NEEDED
from lawnmap.schema import DO

MANY = 100  # groups of steps without a day
LONG_HIRE = 1.5  # times the days a hired machine needs for its own work
ONLY_IF = "no day: look again, and only if the moss is still green"
COLUMNS = ("day", "day_last", "days", "day_earliest", "day_latest", "day_why")


def dating(
    steps: pd.DataFrame,
    specification: Specification,
    calendar: Calendar,
    windows: Windows = (),
    *,
    prove_seconds: float = 0.0,
) -> tuple[pd.DataFrame, Dates]:
    """Fill the columns of the step ``dates``, and say what is to be said of the days.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``; what is done has its day already.
    specification : Specification
        First and last day, days of the week, people, machines.
    calendar : Calendar
    windows : sequence of (sequence of (first, last)) or None
        The days each row may have by its season; None is any day. Empty is None for every row.
    prove_seconds : float
        Time for SciPy's solver to look for better days and prove that there are none [s]; 0 is no.

    Raises
    ------
    ExtraNeeded
        When days are to be proven and SciPy is missing.
    """
    first, last = joblist.span(specification)
    if last < first:
        return steps, Dates(told=(f"The last day for the work, {last}, is before {first}: set "
                                  "last_day to a later one.",))  # fmt: skip
    work, rows = joblist.work(steps, specification, calendar, windows)
    if not work.steps:
        return steps, Dates()
    work, schedule = _in_first_season(work)
    late = {step.id for each in schedule.undated for step in each.steps}
    if late and (without := overdue.released(work, late)) != work:
        work, schedule = _in_first_season(without)
    work, schedule, reasons, proof = _settled(work, schedule, prove_seconds)
    faults = broken(work, schedule)
    if faults:
        raise RuntimeError(f"the schedule breaks its own rules: {faults[0]}")
    told = [schedule.told(), *([proof.told()] if proof else [])] if schedule.dated else []
    return (
        _filled(steps, rows, work, schedule, reasons),
        Dates(
            visits=tuple(sorted({day for _, day in schedule.visits})),
            hire=tuple((machine, day) for machine, _, day in schedule.hire),
            out=_out(schedule),
            told=(
                *told,
                *_hire_stretched(work, schedule),
                *dict.fromkeys(reasons.values()),
                *_overdue(work, schedule).values(),
                *_moved(schedule),
            ),
        ),
    )


def _out(schedule: Schedule) -> tuple[tuple[str, dt.date], ...]:
    """Return each machine with each day it is used on, of what is still to be done."""
    used = {
        (each.step.machine, each.day)
        for each in schedule.dated
        if each.step.machine is not None and not each.done
    }
    return tuple(sorted(used))


def _in_first_season(work: Work) -> tuple[Work, Schedule]:
    """Return the work with each step kept to the season it can first be done in, and its days.

    A season later is a year lost to the grass: fewest visits are counted within the seasons. Where
    the first season is full beside the other work, the later ones stay open.
    """
    found = reach(work)
    cut = replace(work, steps=tuple(_first_run(step, found) for step in work.steps))
    schedule = dates(cut, told=False)  # what has no day here is tried again
    full = {step.id for each in schedule.undated for step in each.steps}
    if not full:
        return cut, schedule
    own = {step.id: step for step in work.steps}
    mixed = replace(cut, steps=tuple(own[s.id] if s.id in full else s for s in cut.steps))
    return mixed, dates(mixed)


def _settled(
    work: Work, schedule: Schedule, seconds: float
) -> tuple[Work, Schedule, dict[str, str], Proof | None]:
    """Return the work that finds days, its days, why other steps find none, and the proof."""
    proof = prove(work, seconds=seconds) if seconds else None
    work, schedule, reasons = _shortened(work, proof.schedule if proof else schedule)
    if proof and reasons:  # what is proven is proven of the work that is left
        proof = prove(work, seconds=max(seconds - proof.seconds, 0.0))
        schedule = proof.schedule
    return work, schedule, reasons, proof


def _first_run(step: Step, found: Mapping[str, tuple[dt.date, dt.date]]) -> Step:
    early, _ = found.get(step.id.partition("/")[0], (None, None))
    if early is None or not step.windows:
        return step
    last = min((each.last for each in step.windows if each.last >= early), default=dt.date.max)
    return replace(step, windows=tuple(each for each in step.windows if each.first <= last))


def _shortened(work: Work, schedule: Schedule) -> tuple[Work, Schedule, dict[str, str]]:
    """Give days to the first steps of a zone whose last find none, and say which were left out.

    One job of a zone is left out at a time; of very many zones twice as many each time, since each
    time all days are found anew.
    """
    reasons: dict[str, str] = {}
    jobs = 1
    while schedule.undated:
        for each in schedule.undated:
            heads = list(dict.fromkeys(step.id.partition("/")[0] for step in each.steps))
            last = set(heads[-jobs:])
            reasons |= {
                step.id: each.sentence for step in each.steps if step.id.partition("/")[0] in last
            }
        jobs *= 2 if len(schedule.undated) > MANY else 1
        kept = tuple(step for step in work.steps if step.id not in reasons)
        left = {step.id for step in kept}
        promised = {key: day for key, day in work.promised.items() if key in left}
        work = replace(work, steps=kept, promised=promised)
        schedule = dates(work)
    return work, schedule, reasons


def _filled(
    steps: pd.DataFrame,
    rows: dict[Key, int],
    work: Work,
    schedule: Schedule,
    reasons: dict[str, str],
) -> pd.DataFrame:
    """Return the steps with their days; rows without a place in the schedule keep what they had."""
    on: dict[str, list[dt.date]] = defaultdict(list)
    for each in schedule.dated:
        on[each.step.id.partition("/")[0]].append(each.day)
    found = reach(work)
    why = {key.partition("/")[0]: sentence for key, sentence in reasons.items()}
    why |= {key.partition("/")[0]: sentence for key, sentence in _overdue(work, schedule).items()}
    why |= {each.step.id.partition("/")[0]: _move(each) for each in schedule.moved}
    result = {column: steps[column].to_list() for column in COLUMNS}
    if_needed = (steps["rule"] == IF_NEEDED) & (steps["status"] == DO)
    result["day_why"] = steps["day_why"].where(~if_needed, ONLY_IF).to_list()
    for key, place in rows.items():
        days = sorted(set(on.get(name(key), ())))
        early, late = found.get(name(key), (None, None))
        result["day"][place] = days[0].isoformat() if days else ""
        result["day_last"][place] = days[-1].isoformat() if len(days) > 1 else ""
        result["days"][place] = float(len(days)) if days else float("nan")
        result["day_earliest"][place] = early.isoformat() if early else ""
        result["day_latest"][place] = late.isoformat() if late else ""
        result["day_why"][place] = why.get(name(key), "")
    return steps.assign(**result)


def _hire_stretched(work: Work, schedule: Schedule) -> Iterator[str]:
    """Say when a hired machine is out longer than its own work takes, and how many people help."""
    out: dict[str, list[dt.date]] = defaultdict(list)
    for machine, _, day in schedule.hire:
        out[machine].append(day)
    for machine, days in out.items():
        there = [each.step for each in schedule.dated if each.day in days and not each.done]
        own = math.fsum(step.hours for step in there if step.machine == machine)
        least = max(1, math.ceil(own / work.machines[machine].hours - 1e-9))
        if len(days) > LONG_HIRE * least:
            total = math.fsum(step.hours * step.crew for step in there)
            people = math.ceil(total / (least * work.crew.hours) - 1e-9)
            yield (
                f"{machine}: hired for {len(days)} days though it runs {own:.1f} h, since what it "
                f"brings up is cleared the same day; with {people} people {least} would do."
            )


def _overdue(work: Work, schedule: Schedule) -> dict[str, str]:
    """Return by step which longest wait from the record is broken."""
    said = {each.step.id: overdue.told(work, each.step, each.day) for each in schedule.dated}
    return {key: sentence for key, sentence in said.items() if sentence}


def _moved(schedule: Schedule) -> Sequence[str]:
    return [f"{each.step.name}: {_move(each)}" for each in schedule.moved]


def _move(moved: Moved) -> str:
    now = f"now {moved.now}" if moved.now else "no day any more"
    return f"promised for {moved.promised}, {now}: {moved.why}"
