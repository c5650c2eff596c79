"""Better dates, or the proof that there are none, by a solver of whole-number programmes.

The solver is HiGHS, as SciPy brings it: the extra ``schedule``. A proof is claimed for an aim only
when the solver's own bound leaves no gap.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lawnmap.errors import ExtraNeeded
from lawnmap.logistics.board import Board
from lawnmap.logistics.bound import bound
from lawnmap.logistics.dates import Schedule, Undated, dates, sorted_out, written
from lawnmap.logistics.diary import HOUR
from lawnmap.logistics.domains import Days, Group
from lawnmap.logistics.work import Work

AIMS = ("steps without a date", "promised dates moved", "visit days", "days of hire", "finish")
Row = dict[int, float]


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


@dataclass
class _Programme:
    """Columns and rows of a whole-number programme."""

    upper: list[float] = field(default_factory=list)
    rows: list[tuple[Row, float, float]] = field(default_factory=list)
    aims: list[Row] = field(default_factory=list)
    day: dict[tuple[str, int], int] = field(default_factory=dict)

    def column(self, upper: float = 1.0) -> int:
        self.upper.append(upper)
        return len(self.upper) - 1

    def row(self, row: Row, low: float, high: float) -> None:
        self.rows.append((row, low, high))


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
    solve = _solver()
    listed = dates(work)
    possible, days, without = sorted_out(work)
    programme = _programme(work, possible, days)
    limit = bound(work, possible, days)
    least: tuple[int, ...] = (0, limit.moved, limit.visits, limit.hire, 0)
    proven: list[str] = []
    values: NDArray[np.float64] | None = None
    for place, (aim, row) in enumerate(zip(AIMS, programme.aims, strict=True)):
        have = _counts(listed, without)[place] if values is None else _sum(row, values)
        if have > least[place]:
            programme.row(row, least[place], have)  # spares the solver what is known already
            left = seconds - (time.monotonic() - begun)
            found = solve(programme, row, left) if left > 0 else None
            if found is None or found.x is None:
                break
            if (reached := _sum(row, np.round(found.x))) < have:
                values, have = np.round(found.x), reached
            if found.status != 0:
                break
        proven.append(aim)
        programme.row(row, -np.inf, have)
        if place == 0 and have:
            least = (0,) * len(AIMS)  # the bound is that of all groups together
    if values is None:
        return Proof(listed, tuple(proven), time.monotonic() - begun)
    places = _places(work, possible, days, programme, values)
    if places is None:  # the hours fit all machines together, but not one machine at a time
        return Proof(listed, (), time.monotonic() - begun)
    better = written(work, places, without)
    schedule = min(better, listed, key=lambda each: _counts(each, without))
    return Proof(schedule, tuple(proven), time.monotonic() - begun)


def _counts(schedule: Schedule, without: list[Undated]) -> tuple[int, ...]:
    """Return what the aims count, as the programme counts it."""
    steps = {each.step.id for each in schedule.dated if not each.done}
    done = {(each.step.site, each.day) for each in schedule.dated if each.done}
    last = max((each.day for each in schedule.dated if not each.done), default=schedule.first)
    return (
        len(schedule.undated) - len(without),
        sum(each.step.id in steps for each in schedule.moved),
        len(set(schedule.visits) - done),
        len(schedule.hire),
        (last - schedule.first).days,
    )


def _sum(row: Row, values: NDArray[np.float64]) -> int:
    return round(float(sum(value * values[column] for column, value in row.items())))


def _solver() -> Any:
    try:
        optimize, sparse = import_module("scipy.optimize"), import_module("scipy.sparse")
    except ImportError as error:
        raise ExtraNeeded(
            "a proof needs SciPy, which is not installed",
            remedy="Install lawnmap with its extra: pip install 'lawnmap[schedule]'.",
        ) from error

    def solve(programme: _Programme, aim: Row, seconds: float) -> Any:
        number = len(programme.upper)
        goal = np.zeros(number)
        goal[list(aim)] = list(aim.values())
        rows = [place for place, (row, _, _) in enumerate(programme.rows) for _ in row]
        columns = [column for row, _, _ in programme.rows for column in row]
        values = [value for row, _, _ in programme.rows for value in row.values()]
        matrix = sparse.csr_array((values, (rows, columns)), shape=(len(programme.rows), number))
        low, high = (np.array([each[side] for each in programme.rows]) for side in (1, 2))
        return optimize.milp(
            goal,
            integrality=np.ones(number),
            bounds=optimize.Bounds(0, np.array(programme.upper)),
            constraints=optimize.LinearConstraint(matrix, low, high),
            options={"time_limit": seconds, "mip_rel_gap": 0.0},
        )

    return solve


def _programme(work: Work, possible: list[Group], days: Days) -> _Programme:
    """Return the programme: a column a step × day, a visit, a machine × day and the finish."""
    result = _Programme()
    left_out: Row = {}
    moved: Row = {}
    for group in possible:
        without = result.column()
        left_out[without] = 1.0
        for step in group:
            own = {day: result.column() for day in days[step.id]}
            result.day.update({(step.id, day): column for day, column in own.items()})
            result.row({**dict.fromkeys(own.values(), 1.0), without: 1.0}, 1, 1)
            if step.id in work.promised:
                kept = (work.promised[step.id] - work.first).days
                moved.update({column: 1.0 for day, column in own.items() if day != kept})
    for group in possible:
        _waits(result, group, days)
    visits, hire = _loads(result, work, possible, days)
    finish = result.column(float((work.last - work.first).days))
    for group in possible:
        for step in group:
            row = {result.day[step.id, day]: float(day) for day in days[step.id]}
            result.row({**row, finish: -1.0}, -np.inf, 0)
    result.aims = [left_out, moved, visits, hire, {finish: 1.0}]
    return result


def _waits(programme: _Programme, group: Group, days: Days) -> None:
    """Write each wait as: by any day, no more of the later step than of the earlier long enough."""
    inside = {step.id for step in group}
    for step in group:
        for wait in step.after:
            if wait.before not in inside:
                continue
            for day in days[step.id]:
                row = _until(programme, step.id, days, day, 1.0)
                row |= _until(programme, wait.before, days, day - wait.least, -1.0)
                programme.row(row, -np.inf, 0)
            if wait.most is None:
                continue
            for day in days[wait.before]:
                row = _until(programme, wait.before, days, day, 1.0)
                row |= _until(programme, step.id, days, day + wait.most, -1.0)
                programme.row(row, -np.inf, 0)


def _until(programme: _Programme, key: str, days: Days, last: int, value: float) -> Row:
    return {programme.day[key, day]: value for day in days[key] if day <= last}


def _loads(programme: _Programme, work: Work, possible: list[Group], days: Days) -> tuple[Row, Row]:
    """Write the hours of each day, and return what counts as visits and as days of hire."""
    done = Board(work, {}).diary
    visit: dict[tuple[str, int], int] = {}
    out: dict[tuple[str, int], int] = {}
    people: dict[int, Row] = {}
    machines: dict[tuple[str, int], Row] = {}
    for step in (step for group in possible for step in group):
        for day in days[step.id]:
            column = programme.day[step.id, day]
            people.setdefault(day, {})[column] = float(step.minutes * step.crew)
            place = step.site, day
            if place not in visit:
                visit[place] = programme.column()
            programme.row({column: 1.0, visit[place]: -1.0}, -np.inf, 0)
            if step.machine is not None:
                key = step.machine, day
                if key not in out:
                    out[key] = programme.column(float(work.machines[step.machine].count))
                machines.setdefault(key, {})[column] = float(step.minutes)
                programme.row({column: 1.0, out[key]: -1.0}, -np.inf, 0)
    for day, row in people.items():
        most = done.most_minutes * done.people - done.taken[day]
        programme.row(row, -np.inf, float(max(most, 0)))
        today = {column for (_, one), column in visit.items() if one == day}
        if len(today) == 1:
            programme.row({**row, today.pop(): -float(max(most, 0))}, -np.inf, 0)
    for (name, day), row in machines.items():
        most = int(work.machines[name].hours * HOUR + 1e-6)
        taken = float(sum(done.units.get((name, day), ())))
        programme.row({**row, out[name, day]: -float(most)}, -np.inf, -taken)
    hired = {column for (name, _), column in out.items() if work.machines[name].hired}
    free = {column for place, column in visit.items() if place in done.visits}
    return dict.fromkeys(set(visit.values()) - free, 1.0), dict.fromkeys(hired, 1.0)


def _places(
    work: Work,
    possible: Iterable[Group],
    days: Days,
    programme: _Programme,
    values: NDArray[np.float64],
) -> dict[str, tuple[int, int]] | None:
    """Return the days of the solver with a machine for each step; None when one does not fit."""
    board = Board(work, days)
    chosen = [
        (step, day)
        for group in possible
        for step in group
        for day in days[step.id]
        if values[programme.day[step.id, day]] > 0
    ]
    for step, day in sorted(chosen, key=lambda each: (-each[0].minutes, each[0].id)):
        unit = board.diary.unit(step, day)
        if unit is None:
            return None
        board.put(step, day, unit)
    return dict(board.placed)
