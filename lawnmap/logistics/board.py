"""The board a list schedule is written on: groups of steps are put on days and taken off again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from lawnmap.logistics.diary import Diary
from lawnmap.logistics.domains import Days, Group, narrowed, waits_within, with_others
from lawnmap.logistics.sharing import Visits
from lawnmap.logistics.work import Step, Work

QUICK = 60  # places looked at for a group once it has one
PATIENT = 3_000  # and before it is said that there is none
SOON = 60  # places after which it is asked whether there can be any
MANY_STEPS = 3_000  # of a job; of a larger one, days that lead nowhere are left out then
Cost = tuple[int, int, int, int, int, int]
Found = tuple[tuple[int, int, int, int], dict[str, tuple[int, int]]]


@dataclass(frozen=True)
class Bar:
    """A day that is to be kept free of a site or of a machine."""

    day: int
    site: str | None = None
    machine: str | None = None

    def stops(self, step: Step, day: int) -> bool:
        """Say whether the step may not have that day."""
        return (
            day == self.day
            and self.site in (None, step.site)
            and self.machine in (None, step.machine)
        )


NO_BAR = Bar(-1)


class Board:
    """Groups of steps on their days.

    Attributes
    ----------
    placed : dict of str to (day, unit)
        By id of the step.
    on : dict of int to set of str
        Ids of the steps by day.
    """

    def __init__(self, work: Work, days: Days, whole: Visits | None = None) -> None:
        self.diary = Diary(work, whole)
        self.days = days
        self.placed: dict[str, tuple[int, int]] = {}
        self.promised: Mapping[str, int] = {
            key: (day - work.first).days for key, day in work.promised.items()
        }
        self.large = bool(whole) or len(work.steps) > MANY_STEPS
        self.on: dict[int, set[str]] = defaultdict(set)
        self._moved = self._sum = 0

    def cost(self, left_out: int) -> Cost:
        """Return what the aims count, in their order; the last two are how early it ends.

        Parameters
        ----------
        left_out : int
            Groups without a date.
        """
        return (
            left_out,
            self._moved,
            self.diary.visits,
            self.diary.hire,
            max((day for day, there in self.on.items() if there), default=0),
            self._sum,
        )

    def has(self, group: Group) -> bool:
        """Say whether a group has its days."""
        return group[0].id in self.placed

    def add(self, group: Group, bar: Bar = NO_BAR) -> bool:
        """Put a group on the days that cost least just now; say whether there were any."""
        found = self._as_promised(group, bar) or _Search(self, group, bar, self.days).best()
        if found is not None:
            self.restore(group, found)
        return found is not None

    def takes(self, group: Group) -> bool:
        """Say whether there are days for a group just now."""
        days = self._with_promised(group)
        return (days is not None and _Search(self, group, NO_BAR, days).any()) or _Search(
            self, group, NO_BAR, self.days
        ).any()

    def _as_promised(self, group: Group, bar: Bar) -> dict[str, tuple[int, int]] | None:
        """Return the cheapest days with every promised one kept; None when they cannot all be."""
        days = self._with_promised(group)
        return None if days is None else _Search(self, group, bar, days).best()

    def _with_promised(self, group: Group) -> Days | None:
        """Return the days that are left when promised ones are kept; None when there are none."""
        kept = {
            step.id: (self.promised[step.id],)
            for step in group
            if self.promised.get(step.id) in self.days[step.id]
        }
        if not kept:
            return None
        days = narrowed(group, {**self.days, **kept})
        return days if all(days.values()) else None

    def restore(self, group: Group, places: Mapping[str, tuple[int, int]]) -> None:
        """Put a group where it is said to go."""
        for step in group:
            self.put(step, *places[step.id])

    def drop(self, group: Group) -> dict[str, tuple[int, int]]:
        """Take a group off and return where it was; nothing when it was nowhere."""
        if not self.has(group):
            return {}
        return {step.id: self.take(step) for step in group}

    def put(self, step: Step, day: int, unit: int) -> None:
        """Put a step on a day."""
        self.diary.put(step, day, unit)
        self.placed[step.id] = day, unit
        self.on[day].add(step.id)
        self._moved += self.promised.get(step.id, day) != day
        self._sum += day

    def take(self, step: Step) -> tuple[int, int]:
        """Take a step off and return where it was."""
        day, unit = self.placed.pop(step.id)
        self.diary.take(step, day, unit)
        self.on[day].discard(step.id)
        self._moved -= self.promised.get(step.id, day) != day
        self._sum -= day
        return day, unit

    def span(self, step: Step) -> tuple[int, int]:
        """Return the first and last day that the steps before it, where placed, leave to a step."""
        low, high = 0, 10**9
        for wait in step.after:
            if wait.before in self.placed:
                day = self.placed[wait.before][0]
                low = max(low, day + wait.least)
                high = high if wait.most is None else min(high, day + wait.most)
        return low, high


class _Search:
    """The cheapest days for one group on a board as it is."""

    def __init__(self, board: Board, group: Group, bar: Bar, days: Days) -> None:
        self.diary, self.group, self.large = board.diary, group, board.large
        self.promised = [board.promised.get(step.id) for step in group]
        self.options: list[list[int]] = []
        for step in group:
            self.options.append(self._options(step, bar, days[step.id], board.promised))
            if not self.options[-1]:
                break  # one without a day is enough
        self.found: Found | None = None
        self.quick = QUICK

    def best(self) -> dict[str, tuple[int, int]] | None:
        """Return the cheapest days that were found; None when there are none."""
        if not self.options[-1]:
            return None
        between = waits_within(self.group)
        self.waits: list[list[tuple[int, int, int | None]]] = [[] for _ in self.group]
        for before, after, least, most in between:
            self.waits[after].append((before, least, most))
        self._look(SOON)
        if not self.found and self.tries > SOON:
            kept = with_others(self.options, between)
            if not all(kept):
                return None
            self.options = kept if self.large else self.options
            self._look(PATIENT)
        return self.found[1] if self.found else None

    def _look(self, patient: int) -> None:
        least = [min(each) for each in self.options]
        self.rest = [sum(least[at + 1 :]) for at in range(len(least))]
        self.places: list[tuple[int, int]] = []
        self.tries, self.patient = 0, patient
        self._go(0, (0, 0, 0, 0))

    def any(self) -> bool:
        """Say whether there are any days."""
        self.quick = 0
        return self.best() is not None

    def _options(
        self, step: Step, bar: Bar, days: tuple[int, ...], promised: Mapping[str, int]
    ) -> list[int]:
        """Return the days a step may have, cheapest first, then earliest."""
        listed = self.diary.fitting(step, days)
        if bar is not NO_BAR and bar.stops(step, bar.day):
            listed = [day for day in listed if day != bar.day]
        told = promised.get(step.id)
        if told is not None and told in listed:
            listed.remove(told)
            listed.insert(0, told)
        return listed

    def _go(self, at: int, spent: tuple[int, int, int, int]) -> None:
        if at == len(self.group):
            ids = (step.id for step in self.group)
            self.found = spent, dict(zip(ids, self.places, strict=True))
            return
        step, rest, diary = self.group[at], self.rest[at], self.diary
        low, high = self._span(at)
        promised = self.promised[at]
        for day in self.options[at]:
            if not low <= day <= high or (unit := diary.unit(step, day)) is None:
                continue
            self.tries += 1
            if self.tries > (self.quick if self.found else self.patient):
                return
            visit, hire = diary.price(step, day, unit)
            moved = int(promised not in (None, day))
            now = (spent[0] + moved, spent[1] + visit, spent[2] + hire, spent[3] + day)
            if self.found and (*now[:3], now[3] + rest) >= self.found[0]:
                continue
            diary.put(step, day, unit)
            self.places.append((day, unit))
            self._go(at + 1, now)
            self.places.pop()
            diary.take(step, day, unit)

    def _span(self, at: int) -> tuple[int, int]:
        low, high = 0, 10**9
        for before, least, most in self.waits[at]:
            day = self.places[before][0]
            low = max(low, day + least)
            if most is not None:
                high = min(high, day + most)
        return low, high
