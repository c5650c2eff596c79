"""A job put to a solver of whole-number programmes, to ask for a schedule that counts so little.

A short stretch of days is soon looked through, all of them together are not. So a schedule is
looked for within as few days as could hold it, then within one more, and so on.
"""

from __future__ import annotations

import time
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from importlib import import_module
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lawnmap.errors import ExtraNeeded
from lawnmap.logistics.bound import bound
from lawnmap.logistics.dates import Schedule, sorted_out
from lawnmap.logistics.domains import Days, narrowed
from lawnmap.logistics.programme import Counts, Programme, Row, programme
from lawnmap.logistics.work import Work

FOUND, IMPOSSIBLE = 0, 2  # what SciPy's solver says
SHARE = 1 / 3  # of the time that is left, for one last day


class Solver:
    """HiGHS, as SciPy brings it.

    Raises
    ------
    ExtraNeeded
        When SciPy is not installed.
    """

    def __init__(self) -> None:
        try:
            self._optimize = import_module("scipy.optimize")
            self._sparse = import_module("scipy.sparse")
        except ImportError as error:
            raise ExtraNeeded(
                "a proof needs SciPy, which is not installed",
                remedy="Install lawnmap with its extra: pip install 'lawnmap[schedule]'.",
            ) from error

    def solve(
        self, asked: Programme, aim: Row, seconds: float
    ) -> tuple[NDArray[np.float64] | None, int]:
        """Return values with as little of an aim as there can be, and what the solver says."""
        goal = np.zeros(asked.columns)
        goal[list(aim)] = list(aim.values())
        cells = [
            (at, column, value)
            for at, (row, _, _) in enumerate(asked.rows)
            for column, value in row.items()
        ]
        rows, columns, values = zip(*cells, strict=True)
        matrix = self._sparse.csr_array(
            (values, (rows, columns)), shape=(len(asked.rows), asked.columns)
        )
        low, high = (np.array([row[side] for row in asked.rows]) for side in (1, 2))
        found = self._optimize.milp(
            goal,
            integrality=np.ones(asked.columns),
            bounds=self._optimize.Bounds(0, 1),
            constraints=self._optimize.LinearConstraint(matrix, low, high),
            options={"time_limit": max(seconds, 0.0), "mip_rel_gap": 0.0},
        )
        return (None if found.x is None else np.round(found.x)), int(found.status)


class Found(NamedTuple):
    """What the aims count, the finish the last of them, and the day and unit of each step."""

    counts: Counts
    places: Mapping[str, tuple[int, int]]


class Asking:
    """One job and its solver.

    Parameters
    ----------
    work : Work
    solver : Solver

    Attributes
    ----------
    least : list of int
        No schedule counts less of an aim when those before it count what the best one has.
    without : list of Undated
        What finds no date even by itself.
    """

    def __init__(self, work: Work, solver: Solver) -> None:
        self.work, self._solver = work, solver
        self._possible, self._days, self.without = sorted_out(work)
        self._lasts = sorted({day for days in self._days.values() for day in days})
        self.least = self._least(self._days)

    def found(self, schedule: Schedule) -> Found:
        """Return a schedule as it counts here."""
        first = self.work.first
        places = {
            each.step.id: ((each.day - first).days, each.unit)
            for each in schedule.dated
            if not each.done
        }
        old = [each for each in schedule.dated if each.done]
        counts = (
            len(schedule.undated) - len(self.without),
            sum(each.step.id in places for each in schedule.moved),
            len(set(schedule.visits) - {(each.step.site, each.day) for each in old}),
            len(set(schedule.hire) - {(each.step.machine, each.unit, each.day) for each in old}),
            _finish(places),
        )
        return Found(counts, places)

    def soonest(
        self, most: Sequence[int], seconds: float, *, before: int | None = None
    ) -> tuple[Found | None, bool]:
        """Look for the schedule that ends first of those that count no more than given.

        Parameters
        ----------
        most : sequence of int
            For the aims from the first on.
        seconds : float
            Time for it [s].
        before : int, optional
            The day it has to end before.

        Returns
        -------
        Found or None
        bool
            True when it is proven that none ends sooner, or that there is none.
        """
        until = time.monotonic() + seconds
        lasts = [day for day in self._lasts if before is None or day < before]
        at = bisect_left(range(len(lasts)), 1, key=lambda each: self._may(most, lasts[each]))
        jump = 1
        while at < len(lasts) and (left := until - time.monotonic()) > 0:
            asked = self._programme(most, lasts[at])
            values, said = self._solver.solve(asked, {}, SHARE * left)
            if values is not None:
                return self._read(asked, values), jump == 1
            if said != IMPOSSIBLE:
                jump *= 2  # longer stretches are larger, but leave more room to find one
            at += jump
        return None, jump == 1 and at >= len(lasts)

    def fewest(self, most: Sequence[int], seconds: float) -> tuple[Found | None, bool]:
        """Look for the schedule that counts least of the last of some aims, over all days.

        Returns
        -------
        Found or None
        bool
            True when it is proven that none counts less.
        """
        asked = self._programme(most, self._lasts[-1])
        values, said = self._solver.solve(asked, asked.aims[len(most) - 1], seconds)
        return None if values is None else self._read(asked, values), said == FOUND

    def _cut(self, last: int) -> dict[str, tuple[int, ...]]:
        """Return the days of each step when all is over by a last day."""
        sooner = {key: tuple(d for d in days if d <= last) for key, days in self._days.items()}
        left: dict[str, tuple[int, ...]] = {}
        for group in self._possible:
            left |= narrowed(group, sooner)
        return left

    def _may(self, most: Sequence[int], last: int) -> bool:
        """Say whether nothing that is soon seen forbids it all by a last day."""
        if most[0]:
            return True  # the bound is that of all groups together
        days = self._cut(last)
        if not all(days.values()):
            return False
        return all(low <= high for low, high in zip(self._least(days), most, strict=False))

    def _least(self, days: Days) -> list[int]:
        limit = bound(self.work, self._possible, days)
        # New work may share the days of what is on record, and only other days count here.
        recent = sum(day >= self.work.first for day in self.work.done.values())
        return [0, limit.moved, max(limit.visits - recent, 0), max(limit.hire - recent, 0)]

    def _programme(self, most: Sequence[int], last: int) -> Programme:
        made = programme(self.work, self._possible, self._cut(last))
        for row, low, high in zip(made.aims, self.least, most, strict=False):
            made.row(row, low, high)
        return made

    def _read(self, asked: Programme, values: NDArray[np.float64]) -> Found:
        places = asked.read(values)
        return Found((*asked.counts(values), _finish(places)), places)


def _finish(places: Mapping[str, tuple[int, int]]) -> int:
    return max((day for day, _ in places.values()), default=0)
