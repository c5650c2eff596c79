"""Why a step finds no date, and what would have to give way."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import partial

from lawnmap.logistics.board import Board
from lawnmap.logistics.domains import Days, Group, allowed, narrowed
from lawnmap.logistics.work import EVERY_DAY, HOUR, Crew, Machine, Step, Wait, Work

LONGER = 120  # days after the last that are looked at for a way out
MOST_WAYS = 4
MOST_OUT = 2


def alone(work: Work, group: Group) -> str:
    """Return why a group finds no date even when nothing else is to be done, where it finds none.

    Parameters
    ----------
    work : Work
        With little beside the group and what is on record, since it is looked through many times.
    group : tuple of Step
        None of which takes more than a day has; see :func:`too_much`.
    """
    if _fits(work, group):
        return ""
    head = f"{_stuck(work, group).name} finds no date from {work.first} to {work.last}"
    enough = (text for text, changed in _ways(work, group) if _fits(changed, group))
    ways = list(itertools.islice(enough, MOST_WAYS))
    if not ways:
        return f"{head}: no single change is enough; more than one of its limits must give way."
    return f"{head}. One of these must give way: {'; '.join(ways)}."


def too_much(work: Work, group: Group) -> str:
    """Return what about a group fits no day at all; nothing when each step fits one."""
    return next((text for step in group if (text := _too_much(work, step))), "")


def one_day_holds(work: Work, group: Group) -> bool:
    """Say whether a group could all be done on one day, so that its hours are in no way."""
    loads: dict[str | None, int] = {}
    for step in group:
        loads[None] = loads.get(None, 0) + step.minutes * step.crew
        if step.machine:
            loads[step.machine] = loads.get(step.machine, 0) + step.minutes
    return all(
        load <= int((work.machines[name] if name else work.crew).hours * HOUR + 1e-6)
        for name, load in loads.items()
    )


class Crowd:
    """Why groups find no date beside the others: each way out is set up once and asked of all.

    Parameters
    ----------
    work : Work
    places : mapping of str to (day, unit)
        Of every step that has a date.
    """

    def __init__(self, work: Work, places: Mapping[str, tuple[int, int]]) -> None:
        self.work, self.places = work, places
        self.steps = {step.id: step for step in work.steps}
        self.more = replace(work.crew, people=work.crew.people * 2)
        self.boards: dict[str, tuple[Days, Board]] = {}

    def why(self, group: Group) -> str:
        """Return why a group finds no date, and what would give it one."""
        names = ", ".join(step.name for step in group)
        enough = (text for text, changed in self._ways(group) if self._fits(text, changed, group))
        ways = "; ".join(itertools.islice(enough, MOST_OUT))
        end = f"It would have one with: {ways}" if ways else "Leave out or move other work"
        return f"no date is left for {names}: the days it may have are full. {end}."

    def _ways(self, group: Group) -> Iterator[tuple[str, Callable[[], Work]]]:
        """Yield what could be added, cheapest first, and how the work with it is made."""
        changed = partial(replace, self.work)
        machines = sorted({step.machine for step in group if step.machine})
        yield "more people or hours a day", partial(changed, crew=self.more)
        for name in machines:
            text = f"one more {name.replace('_', ' ')}"
            yield text, partial(changed, machines=self._one_more(name))
        both = "more people or hours and one more of each machine"
        yield both, partial(changed, crew=self.more, machines=self._one_more(*machines))
        later = self.work.last + dt.timedelta(days=LONGER)
        yield "a later last day to plan for", partial(changed, last=later)

    def _one_more(self, *names: str) -> dict[str, Machine]:
        machines = dict(self.work.machines)
        for name in names:
            machines[name] = replace(machines[name], count=machines[name].count + 1)
        return machines

    def _fits(self, text: str, changed: Callable[[], Work], group: Group) -> bool:
        own = sorted({step.machine for step in group if step.machine})
        key = f"{text} {' '.join(own)}" if text.endswith("each machine") else text
        if key not in self.boards:
            made = changed()
            board = Board(made, {})
            for step_id, place in self.places.items():
                board.put(self.steps[step_id], *place)
            self.boards[key] = allowed(made), board
        free, board = self.boards[key]
        board.days = narrowed(group, free)
        return all(board.diary.possible(step) for step in group) and board.takes(group)


def _too_much(work: Work, step: Step) -> str:
    """Return what about a step fits no day at all; nothing when it does."""
    crew = work.crew
    if step.crew > crew.people:
        return f"{step.name} needs {step.crew} people at once and there are {crew.people}."
    if step.machine and step.machine not in work.machines:
        return f"{step.name} needs a {step.machine.replace('_', ' ')} and there is none: hire one."
    most = crew.hours
    if step.machine:
        most = min(most, work.machines[step.machine].hours)
    if step.minutes > int(most * 60 + 1e-6):
        return (
            f"{step.name} takes {step.hours:.1f} h and a day has {most:.1f} h: part it over days, "
            "or give the day more people or a wider machine."
        )
    return ""


def _stuck(work: Work, group: Group) -> Step:
    """Return the first step of a group that has no day left when those before it have theirs."""
    free = allowed(work, group)
    for number, step in enumerate(group):
        left = narrowed(group[: number + 1], free)
        if not all(left.values()) or not Board(work, left).takes(group[: number + 1]):
            return step
    return group[-1]


def _fits(work: Work, group: Group) -> bool:
    """Say whether a group would have dates if nothing else were to be done."""
    steps = {step.id: step for step in work.steps}
    now = tuple(steps[step.id] for step in group)
    board = Board(work, narrowed(now, allowed(work, now)))
    return all(board.diary.possible(step) for step in now) and board.takes(now)


def _ways(work: Work, group: Group) -> Iterator[tuple[str, Work]]:
    """Yield what could give way, in the order it is best asked for, and the work without it."""
    for number, each in enumerate(work.closed):
        if not each.zones or each.zones & {step.zone for step in group}:
            rest = work.closed[:number] + work.closed[number + 1 :]
            days = f"{each.first} to {each.last}"
            yield f"the closed days {days} ({each.reason})", replace(work, closed=rest)
    longer = work.last + dt.timedelta(days=LONGER)
    yield f"the last day to plan for ({work.last})", replace(work, last=longer)
    every_day = replace(work, weekdays=EVERY_DAY, weekdays_of={})
    yield "the days of the week that are worked", every_day
    for name in sorted({step.machine for step in group if step.machine}):
        free = replace(work.machines[name], windows=())
        title = f"the days the {name.replace('_', ' ')} can be had"
        yield title, replace(work, machines={**work.machines, name: free})
    for name, windows in {step.name: step.windows for step in group if step.windows}.items():
        ends = ", ".join(f"{each.first} to {each.last}" for each in windows)
        free_of = [replace(step, windows=()) for step in group if step.name == name]
        yield f"the season of {name} ({ends})", _with(work, *free_of)
    yield from _shorter(work, group)
    crew = Crew(work.crew.people * 2, work.crew.hours)
    yield "the hours a day, with more people", replace(work, crew=crew)


def _shorter(work: Work, group: Group) -> Iterator[tuple[str, Work]]:
    """Yield each wait without its most days, then without its least."""
    names = {step.id: step.name for step in work.steps}
    for kind in ("most", "least"):
        for step in group:
            for wait in step.after:
                if wait.most is None if kind == "most" else not wait.least:
                    continue
                if names[wait.before] == step.name:
                    continue  # from one day of a long job to its next
                days = wait.most if kind == "most" else wait.least
                free = replace(wait, most=None) if kind == "most" else replace(wait, least=0)
                after: tuple[Wait, ...] = tuple(free if w is wait else w for w in step.after)
                text = f"the wait of at {kind} {days} days from {names[wait.before]} to {step.name}"
                note = ", if its label allows" if kind == "least" else ""
                yield text + note, _with(work, replace(step, after=after))


def _with(work: Work, *steps: Step) -> Work:
    changed = {step.id: step for step in steps}
    return replace(work, steps=tuple(changed.get(step.id, step) for step in work.steps))
