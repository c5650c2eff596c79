"""Rows of a plan that need a day, as work for the schedule: waits, seasons, people, machines."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import pandas as pd

from lawnmap.days import Calendar
from lawnmap.errors import InputRefused
from lawnmap.logistics.overdue import caught_up
from lawnmap.logistics.work import WEEKDAYS, Crew, Machine, Step, Wait, Window, Work
from lawnmap.model import Specification
from lawnmap.processing.days import sittings
from lawnmap.processing.days.sittings import Key, Row, name
from lawnmap.processing.days.waits import IF_NEEDED, most_days, role, wait
from lawnmap.processing.iron.label_card import first_day
from lawnmap.schema import DO, DONE, NO_WORK, PRICING

Season = Sequence[tuple[dt.date, dt.date]] | None
Windows = Sequence[Season]
Cells = dict[str, Any]

A_YEAR = dt.timedelta(days=364)
MOST_DAYS = 3 * 366
MOTORS = ("electric", "battery", "petrol", "tractor", "mower", "corer")
LONG_AGO = -10_000  # [d] no longest wait counts from work that is no part of the plan
NEVER = Window(dt.date.min, dt.date.min)  # no window at all would mean any day


class Earlier(NamedTuple):
    """A step that comes before: its name, its row, and the first day it could have."""

    name: str
    cells: Cells
    soonest: int


@dataclass(frozen=True)
class _Terms:
    """What holds for every zone."""

    specification: Specification
    calendar: Calendar
    first: dt.date
    last: dt.date
    crew: Crew
    machines: Mapping[str, Machine]

    @cached_property
    def record(self) -> Mapping[str, Sequence[Mapping[str, str]]]:
        """The rows of the record by zone."""
        rows: dict[str, list[Mapping[str, str]]] = defaultdict(list)
        for row in self.calendar.record:
            rows[row.get("zone_id", "")].append(row)
        return rows


def span(specification: Specification) -> tuple[dt.date, dt.date]:
    """Return the first and the last day that is planned for.

    Raises
    ------
    InputRefused
        When they are more than three years apart: every day of them is looked at.
    """
    first = first_day(specification)
    last = specification.choice("last_day") or first + A_YEAR
    if (last - first).days > MOST_DAYS:
        raise InputRefused(
            f"{last} is more than three years after the first day, {first}",
            file="specification.toml",
            place="last_day",
            remedy="Look for a slip of the year, or plan a season at a time.",
        )
    return first, last


def work(
    steps: pd.DataFrame, specification: Specification, calendar: Calendar, windows: Windows
) -> tuple[Work, dict[Key, int]]:
    """Return the work for a schedule, and the place of each step of it in the table.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``, zone by zone in the order of work.
    specification : Specification
    calendar : Calendar
        Its record holds what was done beside the rows of the table.
    windows : sequence of (sequence of (first, last)) or None
        See :func:`lawnmap.processing.days.dating.dating`.
    """
    first, last = span(specification)
    crew = _crew(specification)
    machines = _machines(specification, crew, _held(steps))
    terms = _Terms(specification, calendar, first, last, crew, machines)
    table = [{str(key): cell for key, cell in row.items()} for row in steps.to_dict("records")]
    places = {key: at for key, at in _keys(table) if _needs_day(table[at])}
    zones: dict[str, list[Key]] = defaultdict(list)
    for key in places:
        zones[key[0]].append(key)
    made: list[Step] = []
    done: dict[str, dt.date] = {}
    for zone, keys in zones.items():
        own = [(key, table[places[key]], windows[places[key]] if windows else None) for key in keys]
        steps_of, done_of = _zone(zone, own, terms)
        made += steps_of
        done |= done_of
    weekdays = frozenset(WEEKDAYS.index(each) for each in specification.choice("weekdays"))
    promised = _promised(made, calendar, done)
    found = Work(
        tuple(made), first, last, crew, terms.machines, calendar.closed, weekdays, done, promised
    )
    return caught_up(found), places


def _zone(
    zone: str, own: Sequence[tuple[Key, Cells, Season]], terms: _Terms
) -> tuple[list[Step], dict[str, dt.date]]:
    """Return the steps of one zone, and the days of those that are done."""
    made, done, before = _past(zone, terms)
    rows: list[Row] = []
    for key, cells, season in own:
        waits, soonest = _waits(before, cells, terms.specification)
        if cells["status"] == DONE:
            done[name(key)] = dt.date.fromisoformat(cells["day"])
            made.append(Step(name(key), zone, key[1], 0.0))
        else:
            rows.append(
                Row(
                    key,
                    sittings.hours(cells, terms.specification.choice("crew")["hours_planned"]),
                    str(cells["kind"]),
                    str(cells["machine"]) if cells["machine"] in terms.machines else None,
                    waits,
                    _open(zone, season, terms),
                )
            )
        before.append(Earlier(name(key), cells, soonest))
    return [*made, *sittings.steps(rows, terms.crew, terms.machines)], done


def _past(zone: str, terms: _Terms) -> tuple[list[Step], dict[str, dt.date], list[Earlier]]:
    """Return what is on record of a zone as steps that are done: later steps wait for it."""
    steps: list[Step] = []
    done: dict[str, dt.date] = {}
    before: list[Earlier] = []
    for number, row in enumerate(terms.record.get(zone, ()), start=1):
        own = f"{zone} record {number}"
        operation = row.get("operation", "")
        steps.append(Step(own, zone, operation, 0.0))
        done[own] = dt.date.fromisoformat(row["date"])
        cells = {"operation": operation, "product": row.get("product", ""), "status": DONE}
        before.append(Earlier(own, cells, LONG_AGO))
    return steps, done, before


def _waits(
    before: Sequence[Earlier], cells: Cells, specification: Specification
) -> tuple[tuple[Wait, ...], int]:
    """Return the waits of a row, and the first day it could have if nothing else were in the way.

    A longest wait holds only where what lies between leaves it possible.
    """
    leasts = [wait(each.cells, cells, specification) for each in before]
    soonest = max([0, *(each.soonest + least for each, least in zip(before, leasts, strict=True))])
    latest = {role(each.cells): place for place, each in enumerate(before)}
    result = []
    for place, (each, least) in enumerate(zip(before, leasts, strict=True)):
        most = most_days(each.cells, cells)
        holds = most is not None and soonest - each.soonest <= most
        if not holds or latest[role(each.cells)] != place:
            most = None
        result.append(Wait(each.name, least, most))
    last = len(before) - 1
    # What goes with an earlier step on its day does not wait for what lies between.
    tied = any(each.most == 0 for each in result)
    kept = [
        each
        for place, each in enumerate(result)
        if each.least or each.most is not None or (place == last and not tied)
    ]
    return tuple(kept), soonest


def _needs_day(cells: Cells) -> bool:
    """Say whether a row takes place: a product that is priced only is not put on."""
    if cells["operation"] in NO_WORK:
        return False
    if cells["rule"] == IF_NEEDED and cells["status"] != DONE:
        return False
    only_priced = cells["status"] == PRICING and role(cells) != "iron"
    return cells["status"] in (DO, DONE) or only_priced


def _keys(table: Sequence[Cells]) -> list[tuple[Key, int]]:
    number: Counter[tuple[str, str]] = Counter()
    result = []
    for at, cells in enumerate(table):
        what = (str(cells["zone_id"]), str(cells["operation"]))
        number[what] += 1
        result.append(((*what, number[what]), at))
    return result


def _open(zone: str, season: Season, terms: _Terms) -> tuple[Window, ...]:
    """Return the days by season on which the zone is open; none means any day."""
    only = [
        each for which in ("", zone) for each in terms.calendar.open_only.get(which, ())
    ]  # fmt: skip
    if season is None:
        return tuple(only)
    found = [Window(first, last) for first, last in season]
    if only:
        found = [
            Window(max(one.first, two.first), min(one.last, two.last))
            for one in found
            for two in only
            if max(one.first, two.first) <= min(one.last, two.last)
        ]
    return tuple(found) or (NEVER,)


def _crew(specification: Specification) -> Crew:
    crew = specification.choice("crew")
    return Crew(int(crew["people"]), float(crew["hours_a_day"]))


def _held(steps: pd.DataFrame) -> dict[str, float]:
    """Return the hours a day that one person may hold each machine, by its vibration [h]."""
    capped = steps[steps["most_hours_a_day"].notna()]
    least = capped.groupby("machine")["most_hours_a_day"].min()
    return {str(name): float(hours) for name, hours in least.items()}


def _machines(
    specification: Specification, crew: Crew, held: Mapping[str, float]
) -> dict[str, Machine]:
    """Return what is limited in number: machines with motors, and whatever is hired.

    Where vibration limits the hours of one person, people take turns at all machines together.
    """
    result = {}
    for title, each in specification.machines.items():
        hired = bool(each.hire_a_day)
        if each.kind not in MOTORS and not hired:
            continue
        window = Window(each.available_from or dt.date.min, each.available_until or dt.date.max)
        limited = each.available_from or each.available_until
        turns = held.get(title, crew.hours) * crew.people / each.count
        hours = min(each.hours_a_day or crew.hours, crew.hours, turns)
        result[title] = Machine(each.count, hours, hired, (window,) if limited else ())
    return result


def _promised(
    steps: Sequence[Step], calendar: Calendar, done: Mapping[str, dt.date]
) -> dict[str, dt.date]:
    """Return promised days by the step that has them now, the first part of one cut into days."""
    there = {step.id for step in steps} - set(done)
    result = {}
    for key, day in calendar.promised.items():
        for own in (name(key), f"{name(key)}/1"):
            if own in there:
                result[own] = day
    return result
