"""What is on which day while a schedule is made: minutes left, visits, machines out."""

from __future__ import annotations

from collections import Counter, defaultdict

from lawnmap.logistics.work import Step, Work

HOUR = 60


class Diary:
    """Days with the minutes of people and machines that are taken.

    Attributes
    ----------
    visits : Counter of (site, day)
        Steps on each day a site is visited.
    hire : int
        Days of hire so far, one for each machine that is out on a day.
    """

    def __init__(self, work: Work) -> None:
        """Begin with the record: what was done on a day that is planned for takes its hours."""
        self.most_minutes = int(work.crew.hours * HOUR + 1e-6)
        self.people = work.crew.people
        self.machines = work.machines
        self.taken: Counter[int] = Counter()
        self.visits: Counter[tuple[str, int]] = Counter()
        self.units: dict[tuple[str, int], list[int]] = {}
        self.uses: Counter[tuple[str, int, int]] = Counter()
        self.hire = 0
        self.steps_on: dict[int, set[str]] = defaultdict(set)
        for step in work.steps:
            if step.id in work.done:
                day = (work.done[step.id] - work.first).days
                if day >= 0:
                    self.put(step, day, self.unit(step, day) or 0)

    def possible(self, step: Step) -> bool:
        """Say whether the step fits an empty day."""
        machine = self.machines.get(step.machine) if step.machine else None
        return (
            step.crew <= self.people
            and step.minutes <= self.most_minutes
            and (not step.machine or machine is not None)
            and (machine is None or step.minutes <= int(machine.hours * HOUR + 1e-6))
        )

    def unit(self, step: Step, day: int) -> int | None:
        """Return the machine (0 the first) a step would take that day; None when it does not fit.

        The fullest machine that still has room is taken, so that few go out.
        """
        minutes = step.minutes
        if self.taken[day] + minutes * step.crew > self.most_minutes * self.people:
            return None
        if step.machine is None:
            return 0
        machine = self.machines[step.machine]
        out = self.units.get((step.machine, day))
        if out is None:
            return 0
        room = int(machine.hours * HOUR + 1e-6) - minutes
        fitting = [(-load, place) for place, load in enumerate(out) if load <= room]
        return min(fitting)[1] if fitting else None

    def price(self, step: Step, day: int, unit: int) -> tuple[int, int]:
        """Return the visits and days of hire that the step would add."""
        visit = 0 if self.visits[step.site, day] else 1
        hired = step.machine is not None and self.machines[step.machine].hired
        return visit, int(hired and not self.uses[step.machine or "", day, unit])

    def put(self, step: Step, day: int, unit: int) -> None:
        """Write a step on a day."""
        self.hire += self.price(step, day, unit)[1] if self._known(step) else 0
        self.taken[day] += step.minutes * step.crew
        self.visits[step.site, day] += 1
        self.steps_on[day].add(step.id)
        if step.machine is not None and self._known(step):
            count = self.machines[step.machine].count
            self.units.setdefault((step.machine, day), [0] * count)[unit] += step.minutes
            self.uses[step.machine, day, unit] += 1

    def take(self, step: Step, day: int, unit: int) -> None:
        """Take a step off its day again."""
        self.taken[day] -= step.minutes * step.crew
        self.visits[step.site, day] -= 1
        if not self.visits[step.site, day]:
            del self.visits[step.site, day]
        self.steps_on[day].discard(step.id)
        if step.machine is not None:
            self.units[step.machine, day][unit] -= step.minutes
            self.uses[step.machine, day, unit] -= 1
            self.hire -= self.price(step, day, unit)[1]

    def _known(self, step: Step) -> bool:
        return step.machine is None or step.machine in self.machines
