"""The board a list schedule is written on: groups of steps are put on days and taken off again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lawnmap.logistics.diary import Diary
from lawnmap.logistics.domains import Days, Group, narrowed
from lawnmap.logistics.work import Step, Work

QUICK = 60  # places looked at for a group once it has one
PATIENT = 3_000  # and before it is said that there is none
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
    """

    def __init__(self, work: Work, days: Days) -> None:
        self.diary = Diary(work)
        self.days = days
        self.placed: dict[str, tuple[int, int]] = {}
        self.promised: Mapping[str, int] = {
            key: (day - work.first).days for key, day in work.promised.items()
        }

    def cost(self, groups: list[Group]) -> Cost:
        """Return what the aims count, in their order; the last two are how early it ends."""
        days = [day for day, _ in self.placed.values()]
        return (
            sum(group[0].id not in self.placed for group in groups),
            sum(self.placed.get(key, (day,))[0] != day for key, day in self.promised.items()),
            len(self.diary.visits),
            self.diary.hire,
            max(days, default=0),
            sum(days),
        )

    def add(self, group: Group, bar: Bar = NO_BAR) -> bool:
        """Put a group on the days that cost least just now; say whether there were any."""
        found = self._kept(group, bar) or _Search(self, group, bar, self.days).best()
        if found is not None:
            self.restore(group, found)
        return found is not None

    def _kept(self, group: Group, bar: Bar) -> dict[str, tuple[int, int]] | None:
        """Return the cheapest days with every promised one kept; None when they cannot all be."""
        kept = {
            step.id: (self.promised[step.id],)
            for step in group
            if self.promised.get(step.id) in self.days[step.id]
        }
        days = narrowed(group, {**self.days, **kept}) if kept else {}
        return _Search(self, group, bar, days).best() if kept and all(days.values()) else None

    def restore(self, group: Group, places: Mapping[str, tuple[int, int]]) -> None:
        """Put a group where it is said to go."""
        for step in group:
            self.put(step, *places[step.id])

    def drop(self, group: Group) -> dict[str, tuple[int, int]]:
        """Take a group off and return where it was; nothing when it was nowhere."""
        if group[0].id not in self.placed:
            return {}
        return {step.id: self.take(step) for step in group}

    def put(self, step: Step, day: int, unit: int) -> None:
        """Put a step on a day."""
        self.diary.put(step, day, unit)
        self.placed[step.id] = day, unit

    def take(self, step: Step) -> tuple[int, int]:
        """Take a step off and return where it was."""
        place = self.placed.pop(step.id)
        self.diary.take(step, *place)
        return place

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
        self.board, self.group, self.days = board, group, days
        self.options = [self._options(step, bar) for step in group]
        self.least = [min(each, default=0) for each in self.options]
        self.found: Found | None = None
        self.tries = 0

    def best(self) -> dict[str, tuple[int, int]] | None:
        if all(self.options):
            self._go(0, (0, 0, 0, 0))
        return self.found[1] if self.found else None

    def _options(self, step: Step, bar: Bar) -> list[int]:
        """Return the days a step may have, cheapest first, then earliest."""
        diary, promised = self.board.diary, self.board.promised.get(step.id)
        listed = []
        for day in self.days[step.id]:
            if bar.stops(step, day):
                continue
            unit = diary.unit(step, day)
            if unit is not None:
                listed.append((promised not in (None, day), *diary.price(step, day, unit), day))
        return [each[-1] for each in sorted(listed)]

    def _go(self, at: int, spent: tuple[int, int, int, int]) -> None:
        board = self.board
        if at == len(self.group):
            places = {step.id: board.placed[step.id] for step in self.group}
            self.found = spent, places
            return
        step, rest = self.group[at], sum(self.least[at + 1 :])
        low, high = board.span(step)
        promised = board.promised.get(step.id)
        for day in self.options[at]:
            if not low <= day <= high or (unit := board.diary.unit(step, day)) is None:
                continue
            self.tries += 1
            if self.tries > (QUICK if self.found else PATIENT):
                return
            visit, hire = board.diary.price(step, day, unit)
            moved = int(promised not in (None, day))
            now = (spent[0] + moved, spent[1] + visit, spent[2] + hire, spent[3] + day)
            if self.found and (*now[:3], now[3] + rest) >= self.found[0]:
                continue
            board.put(step, day, unit)
            self._go(at + 1, now)
            board.take(step)
