"""The days of a job as a programme in whole numbers, for a solver.

A column is a step on a day, a site visited on a day, or a machine out on a day. The hours of each
machine are counted for itself, so that what the solver finds can be done as it stands.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from lawnmap.logistics.diary import Diary
from lawnmap.logistics.domains import Days, Group
from lawnmap.logistics.work import HOUR, Step, Work

Row = dict[int, float]
Counts = tuple[int, ...]


@dataclass
class Programme:
    """Columns and rows.

    Attributes
    ----------
    columns : int
        All of them 0 or 1.
    rows : list of (Row, low, high)
    aims : list of Row
        What counts, the first before the next: groups without a date, promised dates moved, visits
        and days of hire.
    places : dict of (step, day, unit) to int
        The columns of the steps; the unit is the machine of its kind, 0 the first.
    """

    columns: int = 0
    rows: list[tuple[Row, float, float]] = field(default_factory=list)
    aims: list[Row] = field(default_factory=list)
    places: dict[tuple[str, int, int], int] = field(default_factory=dict)

    def column(self) -> int:
        """Add a column and return its number."""
        self.columns += 1
        return self.columns - 1

    def row(self, row: Row, low: float, high: float) -> None:
        """Add a row that holds what the columns come to between two numbers."""
        self.rows.append((row, low, high))

    def counts(self, values: NDArray[np.float64]) -> Counts:
        """Return what the aims come to."""
        return tuple(
            round(float(sum(one * values[column] for column, one in row.items())))
            for row in self.aims
        )

    def read(self, values: NDArray[np.float64]) -> dict[str, tuple[int, int]]:
        """Return the day and the unit of each step that has one."""
        return {
            key: (day, unit)
            for (key, day, unit), column in self.places.items()
            if values[column] > 0.5  # noqa: PLR2004 - 0 or 1, but for the solver's tolerance
        }


def programme(work: Work, groups: Iterable[Group], days: Days) -> Programme:
    """Return the programme of some groups.

    Parameters
    ----------
    work : Work
    groups : iterable of Group
    days : mapping of str to tuple of int
        The days each step may have.
    """
    result = Programme()
    left_out: Row = {}
    moved: Row = {}
    listed = list(groups)
    for group in listed:
        without = result.column()
        left_out[without] = 1.0
        for step in group:
            own = _step(result, work, step, days[step.id])
            result.row({**own, without: 1.0}, 1, 1)
            if step.id in work.promised:
                kept = (work.promised[step.id] - work.first).days
                others = (day for day in days[step.id] if day != kept)
                moved |= {column: 1.0 for day in others for column in _on(result, work, step, day)}
        _waits(result, work, group, days)
    steps = [step for group in listed for step in group]
    diary = Diary(work)
    visits = _visits(result, work, steps, days, diary)
    hire = _machines(result, work, steps, days, diary)
    result.aims = [left_out, moved, visits, hire]
    return result


def _units(work: Work, step: Step) -> range:
    return range(work.machines[step.machine].count if step.machine else 1)


def _on(made: Programme, work: Work, step: Step, day: int) -> Iterable[int]:
    return (made.places[step.id, day, unit] for unit in _units(work, step))


def _step(made: Programme, work: Work, step: Step, days: tuple[int, ...]) -> Row:
    """Add the columns of a step and return them."""
    own = [(step.id, day, unit) for day in days for unit in _units(work, step)]
    made.places.update({place: made.column() for place in own})
    return {made.places[place]: 1.0 for place in own}


def _waits(made: Programme, work: Work, group: Group, days: Days) -> None:
    """Write each wait as: by any day, no more of the later step than of the earlier long enough."""
    inside = {step.id: step for step in group}

    def until(step: Step, last: int, value: float) -> Row:
        past = (day for day in days[step.id] if day <= last)
        return {column: value for day in past for column in _on(made, work, step, day)}

    for step in group:
        for wait in step.after:
            if wait.before not in inside:
                continue
            before = inside[wait.before]
            for day in days[step.id]:
                row = until(step, day, 1.0) | until(before, day - wait.least, -1.0)
                made.row(row, -np.inf, 0)
            for day in days[before.id] if wait.most is not None else ():
                row = until(before, day, 1.0) | until(step, day + (wait.most or 0), -1.0)
                made.row(row, -np.inf, 0)


def _visits(made: Programme, work: Work, steps: Iterable[Step], days: Days, done: Diary) -> Row:
    """Write the hours of the people, and return what counts as visits."""
    visit: dict[tuple[str, int], int] = {}
    people: dict[int, Row] = {}
    for step in steps:
        for day in days[step.id]:
            place = step.site, day
            if place not in visit:
                visit[place] = made.column()
            own = dict.fromkeys(_on(made, work, step, day), 1.0)
            made.row({**own, visit[place]: -1.0}, -np.inf, 0)
            hours = dict.fromkeys(own, float(step.minutes * step.crew))
            people.setdefault(day, {}).update(hours)
    for day, row in people.items():
        most = float(max(done.most_minutes * done.people - done.taken[day], 0))
        made.row(row, -np.inf, most)
        today = [column for (_, one), column in visit.items() if one == day]
        if len(today) == 1:
            made.row({**row, today[0]: -most}, -np.inf, 0)
    return {column: 1.0 for place, column in visit.items() if not done.visited(*place)}


def _machines(made: Programme, work: Work, steps: Iterable[Step], days: Days, done: Diary) -> Row:
    """Write the hours of each machine, and return what counts as hire."""
    loads: dict[tuple[str, int, int], Row] = {}
    out: dict[tuple[str, int, int], int] = {}
    for step in (each for each in steps if each.machine is not None):
        for day in days[step.id]:
            for unit in _units(work, step):
                key = step.machine or "", day, unit
                if key not in out:
                    out[key], loads[key] = made.column(), {}
                column = made.places[step.id, day, unit]
                loads[key][column] = float(step.minutes)
                made.row({column: 1.0, out[key]: -1.0}, -np.inf, 0)
    hire: Row = {}
    for (name, day, unit), row in loads.items():
        machine, key = work.machines[name], (name, day, unit)
        taken = done.units.get((name, day), [0] * machine.count)[unit]
        most = max(int(machine.hours * HOUR + 1e-6) - taken, 0)
        made.row({**row, out[key]: -float(most)}, -np.inf, 0)
        used = done.uses[key] > 0
        if machine.hired and not used:
            hire[out[key]] = 1.0
        if unit and not used:  # of machines alike the first goes out first
            made.row({out[key]: 1.0, out[name, day, unit - 1]: -1.0}, -np.inf, 0)
    return hire
