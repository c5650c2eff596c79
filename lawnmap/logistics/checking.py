"""A second look at a schedule: every hard rule, asked of the dates alone.

It shares no code with what makes the dates, so that a fault there does not hide itself here.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from lawnmap.logistics.dates import Dated, Schedule
from lawnmap.logistics.work import Closed, Step, Work

ROUNDING_H = 1e-6


def broken(work: Work, schedule: Schedule) -> list[str]:
    """Return every hard rule that a schedule breaks, in words; an empty list when it breaks none.

    Parameters
    ----------
    work : Work
    schedule : Schedule
    """
    on = {each.step.id: each.day for each in schedule.dated}
    planned = [each for each in schedule.dated if each.step.id not in work.done]
    shut: dict[str, list[Closed]] = defaultdict(list)
    for closed in work.closed:
        for zone in closed.zones or [""]:
            shut[zone].append(closed)
    return [
        *_complete(work, schedule),
        *(text for each in planned for text in _day(work, each)),
        *(text for each in planned for text in _shut(each, shut)),
        *(text for each in planned for text in _waits(each.step, on)),
        *_hours(work, schedule),
    ]


def _complete(work: Work, schedule: Schedule) -> Iterator[str]:
    listed = [each.step.id for each in schedule.dated]
    listed += [step.id for each in schedule.undated for step in each.steps]
    for key, times in (Counter(listed) - Counter({step.id: 1 for step in work.steps})).items():
        yield f"{key} is there {times} times too often"
    there = set(listed)
    for step in work.steps:
        if step.id not in there:
            yield f"{step.id} is silently gone"
    days = {each.step.id: each.day for each in schedule.dated}
    for key, day in work.done.items():
        if key in there and days.get(key) != day:
            yield f"{key} was done on {day} and has another day"
    for each in schedule.undated:
        if not each.sentence:
            yield f"{each.steps[0].id} has no date and no reason"


def _day(work: Work, dated: Dated) -> Iterator[str]:
    step, day = dated.step, dated.day
    if day < work.first or day > work.last:
        yield f"{step.id} on {day} is outside the days planned for"
    if day.weekday() not in work.weekdays_of.get(step.site, work.weekdays):
        yield f"{step.id} on {day}: that day of the week is not worked"
    seasons = [step.windows]
    if step.machine is not None:
        seasons.append(work.machines[step.machine].windows)
    for windows in seasons:
        if windows and all(day < each.first or day > each.last for each in windows):
            yield f"{step.id} on {day} is outside its window"


def _shut(dated: Dated, shut: Mapping[str, Sequence[Closed]]) -> Iterator[str]:
    step, day = dated.step, dated.day
    for closed in (*shut.get("", ()), *shut.get(step.zone, ())):
        if closed.first <= day <= closed.last:
            yield f"{step.id} on {day}: closed ({closed.reason})"


def _waits(step: Step, on: dict[str, dt.date]) -> Iterator[str]:
    for wait in step.after:
        if wait.before not in on:
            yield f"{step.id} has a date and {wait.before}, which comes before it, has none"
            continue
        soonest = on[wait.before] + dt.timedelta(days=wait.least)
        if on[step.id] < soonest:
            yield f"{step.id} is before {soonest}, {wait.least} days after {wait.before}"
        if wait.most is not None:
            latest = on[wait.before] + dt.timedelta(days=wait.most)
            if on[step.id] > latest:
                yield f"{step.id} is after {latest}, {wait.most} days after {wait.before}"


def _hours(work: Work, schedule: Schedule) -> Iterator[str]:
    people: dict[dt.date, float] = defaultdict(float)
    machines: dict[tuple[str, int, dt.date], float] = defaultdict(float)
    planned = {each.day for each in schedule.dated if each.step.id not in work.done}
    for each in schedule.dated:
        step = each.step
        people[each.day] += step.hours * step.crew
        if step.machine is not None:
            machines[step.machine, each.unit, each.day] += step.hours
        if step.id not in work.done:
            yield from _one(work, each)
    for day, hours in people.items():
        if day in planned and hours > work.crew.people * work.crew.hours + ROUNDING_H:
            yield f"{day} has {hours:.2f} hours of work, more than the people have"
    for (name, unit, day), hours in machines.items():
        if day in planned and hours > work.machines[name].hours + ROUNDING_H:
            yield f"{day} has {hours:.2f} hours for {name} {unit + 1}, more than a day has"


def _one(work: Work, dated: Dated) -> Iterator[str]:
    step = dated.step
    if step.crew > work.crew.people or step.hours > work.crew.hours + ROUNDING_H:
        yield f"{step.id} asks more of the people than a day has"
    if step.machine is not None and not 0 <= dated.unit < work.machines[step.machine].count:
        yield f"{step.id} takes a machine that is not there"
