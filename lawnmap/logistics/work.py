"""What is to be given dates: steps, the waits between them, machines, people and closed days."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
EVERY_DAY = frozenset(range(7))
HOUR = 60


@dataclass(frozen=True)
class Wait:
    """A step that comes before, and the days from it: at least, and at most when that matters.

    ``given_up`` is the most that cannot be kept any more, since the step before is on record.
    """

    before: str
    least: int = 0
    most: int | None = None
    given_up: int | None = None


@dataclass(frozen=True)
class Window:
    """Days from the first to the last, both in."""

    first: dt.date
    last: dt.date


@dataclass(frozen=True)
class Closed:
    """Days without work, and why; for the named zones only when any are named."""

    first: dt.date
    last: dt.date
    reason: str = "closed"
    zones: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Step:
    """One operation on one zone, done on one day.

    Attributes
    ----------
    id : str
    zone, operation : str
    hours : float
        How long it takes those who do it together [h]; counted in whole minutes, rounded up.
    machine : str or None
        The kind of machine it needs.
    crew : int
        People it needs at once.
    after : tuple of Wait
        What must come before it.
    windows : tuple of Window
        When it may be done; any time when there are none.
    site : str
    """

    id: str
    zone: str
    operation: str
    hours: float
    machine: str | None = None
    crew: int = 1
    after: tuple[Wait, ...] = ()
    windows: tuple[Window, ...] = ()
    site: str = ""

    @property
    def name(self) -> str:
        """The step in words."""
        return f"{self.operation.replace('_', ' ')} on {self.zone}"

    @cached_property
    def minutes(self) -> int:
        """The hours in whole minutes, rounded up [min]."""
        return math.ceil(self.hours * 60 - 1e-6)


@dataclass(frozen=True)
class Machine:
    """Machines of one kind.

    Attributes
    ----------
    count : int
        How many there are.
    hours : float
        What one may work in a day [h].
    hired : bool
        Whether each day with it costs hire.
    windows : tuple of Window
        When it can be had; any time when there are none.
    """

    count: int
    hours: float
    hired: bool = False
    windows: tuple[Window, ...] = ()


@dataclass(frozen=True)
class Crew:
    """People, and the hours each works in a day [h]."""

    people: int
    hours: float


@dataclass(frozen=True)
class Work:
    """Everything a schedule is made from.

    Attributes
    ----------
    steps : tuple of Step
    first, last : date
        The days to plan for, both in.
    crew : Crew
    machines : mapping of str to Machine
    closed : tuple of Closed
    weekdays : frozenset of int
        Days of the week that are worked, Monday 0.
    done : mapping of str to date
        Steps that are on record, by id. They stay where they are.
    promised : mapping of str to date
        Dates that somebody was told, by id of the step.
    weekdays_of : mapping of str to frozenset of int
        By site, where other days of the week are worked there.

    Raises
    ------
    ValueError
        When two steps share an id, a step waits for one that is not there or for itself in a
        circle, or a number cannot be right.
    """

    steps: tuple[Step, ...]
    first: dt.date
    last: dt.date
    crew: Crew
    machines: Mapping[str, Machine] = field(default_factory=dict)
    closed: tuple[Closed, ...] = ()
    weekdays: frozenset[int] = EVERY_DAY
    done: Mapping[str, dt.date] = field(default_factory=dict)
    promised: Mapping[str, dt.date] = field(default_factory=dict)
    weekdays_of: Mapping[str, frozenset[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse what no schedule can be made from."""
        if self.last < self.first:
            raise ValueError("the last day to plan for is before the first")
        if self.crew.people < 1 or not self.crew.hours > 0:
            raise ValueError("somebody must have hours to work")
        for name, machine in self.machines.items():
            if machine.count < 1 or not machine.hours > 0:
                raise ValueError(f"{name}: a machine that is there must have hours to work")
        ids = {step.id for step in self.steps}
        if len(ids) < len(self.steps):
            raise ValueError("two steps share an id")
        for step in self.steps:
            _check(step, ids)
        _ = self.ordered

    @cached_property
    def ordered(self) -> tuple[Step, ...]:
        """The steps so that each follows what it waits for; ties by zone, then id."""
        return in_order(self.steps)

    @cached_property
    def by_id(self) -> dict[str, Step]:
        """The steps by their ids."""
        return {step.id: step for step in self.steps}

    def weekdays_at(self, site: str) -> frozenset[int]:
        """Return the days of the week that are worked at a site."""
        return self.weekdays_of.get(site, self.weekdays)


def in_order(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Return steps so that each follows what it waits for; ties by zone, then id.

    Raises
    ------
    ValueError
        When they wait for each other in a circle.
    """
    waiting = {step.id: len({each.before for each in step.after}) for step in steps}
    behind: dict[str, list[Step]] = defaultdict(list)
    for step in steps:
        for before in {each.before for each in step.after}:
            behind[before].append(step)
    ready = [step for step in steps if not waiting[step.id]]
    result: list[Step] = []
    while ready:
        result += sorted(ready, key=lambda step: (step.zone, step.id))
        following: list[Step] = []
        for step in ready:
            for each in behind[step.id]:
                waiting[each.id] -= 1
                if not waiting[each.id]:
                    following.append(each)
        ready = following
    if len(result) < len(steps):
        left = min((step for step in steps if waiting[step.id]), key=lambda s: (s.zone, s.id))
        raise ValueError(f"steps wait for each other in a circle: {left.id} is one of them")
    return tuple(result)


def _check(step: Step, ids: set[str]) -> None:
    if not (math.isfinite(step.hours) and step.hours >= 0 and step.crew >= 1):
        raise ValueError(f"{step.id}: hours and people must be numbers that can be")
    for wait in step.after:
        if wait.before not in ids:
            raise ValueError(f"{step.id} waits for {wait.before}, which is no step")
        if wait.least < 0 or (wait.most is not None and wait.most < wait.least):
            raise ValueError(f"{step.id}: the most days to wait are fewer than the least")
