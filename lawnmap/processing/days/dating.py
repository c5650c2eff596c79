"""The step ``dates``: a day for every step, or why there is none.

Hard are the waits, the seasons, closed days, hours of people and machines, and what is on record;
then the aims of :mod:`lawnmap.logistics.dates` in their order.
"""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pandas as pd

from lawnmap.days import Calendar, Dates
from lawnmap.logistics import overdue
from lawnmap.logistics.dates import Moved, Schedule
from lawnmap.logistics.work import Work
from lawnmap.model import Specification
from lawnmap.processing.days import joblist
from lawnmap.processing.days.finding import Found, found, head
from lawnmap.processing.days.joblist import Windows
from lawnmap.processing.days.sittings import Key, name
from lawnmap.processing.days.soonest import reach
from lawnmap.processing.days.waits import IF_NEEDED
from lawnmap.schema import DO

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

    Returns
    -------
    steps : DataFrame
    dates : Dates

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
    result = found(work, prove_seconds=prove_seconds)
    work, schedule, reasons, proof = result
    told = [schedule.told(), *([proof.told()] if proof else [])] if schedule.dated else []
    return (
        _filled(steps, rows, result),
        Dates(
            visits=tuple(sorted({day for _, day in schedule.visits})),
            hire=tuple((machine, day) for machine, _, day in schedule.hire),
            out=_out(schedule),
            told=(
                *told,
                *hire_stretched(work, schedule),
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


def cells(result: Found) -> Callable[[str], tuple[Any, ...]]:
    """Return what gives the cells of ``COLUMNS`` for a row by its id."""
    work, schedule, reasons, _ = result
    on: dict[str, list[dt.date]] = defaultdict(list)
    for each in schedule.dated:
        on[head(each.step.id)].append(each.day)
    reached = reach(work)
    why = {head(key): sentence for key, sentence in reasons.items()}
    why |= {head(key): sentence for key, sentence in _overdue(work, schedule).items()}
    why |= {head(each.step.id): _move(each) for each in schedule.moved}

    def of_row(key: str) -> tuple[Any, ...]:
        days = sorted(set(on.get(key, ())))
        early, late = reached.get(key, (None, None))
        return (
            days[0].isoformat() if days else "",
            days[-1].isoformat() if len(days) > 1 else "",
            float(len(days)) if days else float("nan"),
            early.isoformat() if early else "",
            late.isoformat() if late else "",
            why.get(key, ""),
        )

    return of_row


def _filled(steps: pd.DataFrame, rows: dict[Key, int], result: Found) -> pd.DataFrame:
    """Return the steps with their days; rows without a place in the schedule keep what they had."""
    columns = {column: steps[column].to_list() for column in COLUMNS}
    if_needed = (steps["rule"] == IF_NEEDED) & (steps["status"] == DO)
    columns["day_why"] = steps["day_why"].where(~if_needed, ONLY_IF).to_list()
    of_row = cells(result)
    for key, place in rows.items():
        for column, cell in zip(COLUMNS, of_row(name(key)), strict=True):
            columns[column][place] = cell
    return steps.assign(**columns)


def hire_stretched(work: Work, schedule: Schedule) -> Iterator[str]:
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
