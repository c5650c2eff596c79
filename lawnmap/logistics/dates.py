"""A day for every step: a deterministic list schedule with its bound and its gap.

Hard are waits, windows, closed days, hours of people and machines, and the record. Then count, in
this order: fewest groups of steps without a date, fewest promised dates moved, fewest visit days,
fewest days of hire, the earliest finish; ties go by zone.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from lawnmap.logistics import reasons
from lawnmap.logistics.alone import Alone
from lawnmap.logistics.board import Board
from lawnmap.logistics.bound import Bound, bound
from lawnmap.logistics.domains import Days, Group, allowed, groups, narrowed
from lawnmap.logistics.listing import listed
from lawnmap.logistics.moving import Moving
from lawnmap.logistics.search import Search
from lawnmap.logistics.work import Step, Work


@dataclass(frozen=True)
class Dated:
    """A step and its day; which machine of its kind it takes, 0 the first."""

    step: Step
    day: dt.date
    unit: int = 0
    done: bool = False


@dataclass(frozen=True)
class Undated:
    """Steps that find no date together, and what would have to give way."""

    steps: tuple[Step, ...]
    sentence: str


@dataclass(frozen=True)
class Moved:
    """A promised date that is not kept; `now` is None when there is no date any more."""

    step: Step
    promised: dt.date
    now: dt.date | None
    why: str


@dataclass(frozen=True)
class Schedule:
    """The days of the work.

    Attributes
    ----------
    dated : tuple of Dated
        By day, zone and the order of work; steps on record are among them.
    undated : tuple of Undated
    moved : tuple of Moved
    visits : tuple of (site, date)
        From the first day planned for.
    hire : tuple of (machine, unit, date)
        Each is one day of hire.
    bound : Bound
        For the steps that have a date.
    first : date
        The first day planned for.
    searched : bool
        True when every other choice was looked through, so that fewer visit days are not possible.
    """

    dated: tuple[Dated, ...]
    undated: tuple[Undated, ...]
    moved: tuple[Moved, ...]
    visits: tuple[tuple[str, dt.date], ...]
    hire: tuple[tuple[str, int, dt.date], ...]
    bound: Bound
    first: dt.date
    searched: bool

    @property
    def gap(self) -> float:
        """How far the visit days are above the bound, as a share of it."""
        return len(self.visits) / self.bound.visits - 1 if self.bound.visits else 0.0

    def told(self) -> str:
        """Return the counts, the bounds and the gap in one sentence."""
        if self.gap == 0:
            visits = "fewer are not possible"
        elif self.searched:
            visits = f"the bound is {self.bound.visits}, and no choice of days has fewer"
        else:
            visits = (
                f"at least {self.bound.visits} are needed: {self.gap:.0%} above that, and fewer "
                "may be possible"
            )
        parts = [f"{_count(len(self.visits), 'visit day')} ({visits})"]
        if self.hire:
            hire = f"at least {self.bound.hire} needed"
            parts.append(f"{_count(len(self.hire), 'day')} of hire ({hire})")
        parts.append(f"{_count(len(self.moved), 'promised date')} moved")
        return f"{'; '.join(parts)}."


def dates(work: Work, *, told: bool = True) -> Schedule:
    """Give every step a day, or say what stands in the way.

    Parameters
    ----------
    work : Work
    told : bool
        Whether the reasons are wanted, which take longer to find than the days.

    Returns
    -------
    Schedule
        The same for the same work, whatever the order of its steps.
    """
    possible, days, without = sorted_out(work, told=told)
    cost, places = listed(work, possible, days)
    limit = bound(work, possible, days)
    search = Search(Board(work, days), possible, limit, (cost, places))
    only = all(machine.count == 1 for machine in work.machines.values())
    return written(work, search.best[1], without, searched=search.ended and only, told=told)


def sorted_out(work: Work, *, told: bool = True) -> tuple[list[Group], Days, list[Undated]]:
    """Return the groups that can have dates by themselves, their days, and those that cannot."""
    free = allowed(work)
    days: dict[str, tuple[int, ...]] = {}
    possible, without, alone = [], [], Alone(work)
    board = Board(work, days)
    for group in groups(work):
        days.update(narrowed(group, free))
        if all(board.diary.possible(step) for step in group) and board.takes(group):
            possible.append(group)
        else:
            without.append(Undated(group, alone.why(group) if told else ""))
    return possible, days, without


def written(
    work: Work,
    places: Mapping[str, tuple[int, int]],
    without: list[Undated],
    *,
    searched: bool = False,
    told: bool = True,
) -> Schedule:
    """Return places as a schedule, with its bound and the reasons for what has no date or moved."""
    dated = [
        Dated(step, work.done[step.id], done=True) for step in work.steps if step.id in work.done
    ]
    dated += [
        Dated(step, work.first + dt.timedelta(days=places[step.id][0]), places[step.id][1])
        for step in work.steps
        if step.id in places
    ]
    dated.sort(key=lambda each: (each.day, each.step.zone, each.step.id))
    on = {each.step.id: each.day for each in dated}
    all_groups = groups(work)
    alone = {each.steps[0].id for each in without}
    crowded = [g for g in all_groups if g[0].id not in places and g[0].id not in alone]
    crowd = reasons.Crowd(work, places)
    undated = [*without, *(Undated(g, crowd.why(g) if told else "") for g in crowded)]
    kept = [group for group in all_groups if group[0].id in places]
    free = allowed(work)
    days = {key: left for group in kept for key, left in narrowed(group, free).items()}
    steps = {step.id: step for step in work.steps}
    counted = [each for each in dated if each.day >= work.first]
    moving = Moving(work, on, places)
    return Schedule(
        dated=tuple(dated),
        undated=tuple(sorted(undated, key=lambda each: (each.steps[0].zone, each.steps[0].id))),
        moved=tuple(
            Moved(steps[key], day, on.get(key), moving.why(steps[key]))
            for key, day in sorted(work.promised.items())
            if key in steps and on.get(key) != day
        ),
        visits=tuple(sorted({(each.step.site, each.day) for each in counted})),
        hire=_hire(work, counted),
        bound=bound(work, kept, days),
        first=work.first,
        searched=searched,
    )


def _hire(work: Work, dated: list[Dated]) -> tuple[tuple[str, int, dt.date], ...]:
    hired = {name for name, machine in work.machines.items() if machine.hired}
    return tuple(
        sorted(
            {
                (each.step.machine, each.unit, each.day)
                for each in dated
                if each.step.machine is not None and each.step.machine in hired
            }
        )
    )


def _count(number: int, name: str) -> str:
    return f"{number} {name}" if number == 1 else f"{number} {name}s"
