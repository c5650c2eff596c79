"""What is on which day while a schedule is made: minutes left, visits, machines out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from lawnmap.logistics.sharing import Visits
from lawnmap.logistics.work import HOUR, Step, Work


class Diary:
    """Days with the minutes of people and machines that are taken.

    Attributes
    ----------
    taken : list of int
        Minutes of people by day.
    visits : int
        Days on which a site is visited, summed over the sites.
    hire : int
        Days of hire so far, one for each machine that is out on a day.
    """

    def __init__(self, work: Work, whole: Visits | None = None) -> None:
        """Begin with the record: what was done on a day that is planned for takes its hours."""
        self._whole = whole or {}
        self.most_minutes = int(work.crew.hours * HOUR + 1e-6)
        self.people = work.crew.people
        self.machines = work.machines
        self._most = self.most_minutes * self.people
        self._hours = {name: int(each.hours * HOUR + 1e-6) for name, each in work.machines.items()}
        self._out = {name: self._hours[name] * each.count for name, each in work.machines.items()}
        done = [
            (step, day)
            for step in work.steps
            if step.id in work.done and (day := (work.done[step.id] - work.first).days) >= 0
        ]
        self._days = 1 + max([(work.last - work.first).days, *(day for _, day in done)])
        self.taken = [0] * self._days
        self._there: dict[str, list[int]] = defaultdict(lambda: [0] * self._days)
        self.units: dict[tuple[str, int], list[int]] = {}
        self.uses: dict[tuple[str, int, int], int] = defaultdict(int)
        self.visits = self.hire = 0
        for step, day in done:
            self.put(step, day, self.unit(step, day) or 0)

    def visited(self, site: str, day: int) -> bool:
        """Say whether anything is done at a site that day."""
        return site in self._there and self._there[site][day] > 0

    def possible(self, step: Step) -> bool:
        """Say whether the step fits an empty day."""
        return (
            step.crew <= self.people
            and step.minutes <= self.most_minutes
            and (not step.machine or step.minutes <= self._hours.get(step.machine, -1))
        )

    def unit(self, step: Step, day: int) -> int | None:
        """Return the machine (0 the first) a step would take that day; None when it does not fit.

        The fullest machine that still has room is taken, so that few go out.
        """
        minutes = step.minutes
        if self.taken[day] + minutes * step.crew > self._most:
            return None
        if step.machine is None:
            return 0
        out = self.units.get((step.machine, day))
        if out is None:
            return 0
        room = self._hours[step.machine] - minutes
        fitting = [(-load, place) for place, load in enumerate(out) if load <= room]
        return min(fitting)[1] if fitting else None

    def price(self, step: Step, day: int, unit: int) -> tuple[int, int]:
        """Return the visits and days of hire that the step would add.

        A visit to one of many sites counts twice on a day without room for all of it.
        """
        visit = 0 if self._there[step.site][day] else 1 + self._tight(step, day)
        hired = step.machine is not None and self.machines[step.machine].hired
        return visit, int(hired and not self.uses.get((step.machine or "", day, unit), 0))

    def fitting(self, step: Step, days: Iterable[int]) -> list[int]:
        """Return the days that have room for a step: cheapest first, then as they come."""
        taken, most = self.taken, self._most - step.minutes * step.crew
        there = self._there[step.site]
        kept = [day for day in days if taken[day] <= most]
        if step.machine is None:
            new = [day for day in kept if not there[day]]
            if step.id in self._whole:
                new.sort(key=lambda day: self._tight(step, day))
            return [day for day in kept if there[day]] + new
        name, hired = step.machine, self.machines[step.machine].hired
        units, uses, room = self.units, self.uses, self._hours[step.machine] - step.minutes
        by_price: tuple[list[int], ...] = [], [], [], [], [], []  # hire counts one, a visit two
        for day in kept:
            unit = 0
            if (out := units.get((name, day))) is not None:
                found = self.unit(step, day) if len(out) > 1 else 0
                if found is None or out[found] > room:
                    continue
                unit = found
            hire = hired and not uses.get((name, day, unit), 0)
            visit = 0 if there[day] else 1 + self._tight(step, day)
            by_price[hire + 2 * visit].append(day)
        return [day for each in by_price for day in each]

    def _tight(self, step: Step, day: int) -> bool:
        """Say whether a day has no room for all of a visit that a step is a part of."""
        whole = self._whole.get(step.id)
        if whole is None:
            return False
        if self.taken[day] + whole.people > self._most:
            return True
        return any(
            minutes + sum(self.units.get((name, day), ())) > self._out[name]
            for name, minutes in whole.machines
        )

    def put(self, step: Step, day: int, unit: int) -> None:
        """Write a step on a day."""
        self.taken[day] += step.minutes * step.crew
        there = self._there[step.site]
        self.visits += not there[day]
        there[day] += 1
        name = step.machine
        if name is None or name not in self.machines:
            return
        if (name, day) not in self.units:
            self.units[name, day] = [0] * self.machines[name].count
        self.units[name, day][unit] += step.minutes
        key = name, day, unit
        self.hire += self.machines[name].hired and not self.uses[key]
        self.uses[key] += 1

    def take(self, step: Step, day: int, unit: int) -> None:
        """Take a step off its day again."""
        self.taken[day] -= step.minutes * step.crew
        there = self._there[step.site]
        there[day] -= 1
        self.visits -= not there[day]
        if step.machine is not None:
            self.units[step.machine, day][unit] -= step.minutes
            key = step.machine, day, unit
            self.uses[key] -= 1
            self.hire -= self.machines[step.machine].hired and not self.uses[key]
