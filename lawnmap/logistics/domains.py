"""The days each step may have before anything else is put on a day."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from itertools import combinations

from lawnmap.logistics.work import Closed, Step, Window, Work, in_order

MOST_TOLD = 8  # promised days of one group, of which each choice to keep is tried
Days = Mapping[str, tuple[int, ...]]
Group = tuple[Step, ...]


def allowed(work: Work, steps: Iterable[Step] | None = None) -> dict[str, tuple[int, ...]]:
    """Return for each step that is not done its days, as numbers from the first day on.

    For the given steps of the work only, when any are given.

    Kept are days that are worked and not closed, within a window of the step and of its machine,
    and far enough from what is on record.
    """
    number = (work.last - work.first).days + 1
    worked = [
        day
        for day in range(number)
        if (work.first + dt.timedelta(days=day)).weekday() in work.weekdays
    ]
    asked = work.steps if steps is None else tuple(steps)
    closings = {zone: _closings(work, zone) for zone in {step.zone for step in asked}}
    closed = {each: _closed(each, work.first) for each in set(closings.values())}
    found: dict[tuple[object, ...], tuple[int, ...]] = {}
    result = {}
    for step in asked:
        if step.id in work.done:
            continue
        since = tuple(wait for wait in step.after if wait.before in work.done)
        own = closings[step.zone]
        alike = (own, step.windows, step.machine, since)  # of most zones, and sittings of one job
        if alike not in found:
            found[alike] = tuple(
                day for day in worked if day not in closed[own] and _may(step, day, work)
            )
        result[step.id] = found[alike]
    return result


def groups(work: Work) -> list[Group]:
    """Return the steps that are not done, those that wait for each other together, in order."""
    steps = [step for step in in_order(work.steps) if step.id not in work.done]
    head = {step.id: step.id for step in steps}

    def top(key: str) -> str:
        while head[key] != key:
            key = head[key]
        return key

    for step in steps:
        for wait in step.after:
            if wait.before in head:
                head[top(step.id)] = top(wait.before)
    result: dict[str, list[Step]] = {}
    for step in steps:
        result.setdefault(top(step.id), []).append(step)
    return [tuple(group) for group in result.values()]


def narrowed(group: Group, days: Days) -> dict[str, tuple[int, ...]]:
    """Return the days that are left to each step when the waits within the group are kept.

    A step without a day makes every step of the group go without.
    """
    left = {step.id: days[step.id] for step in group}
    ever = work_days(left)
    waits = [
        (wait.before, step.id, wait.least, ever if wait.most is None else wait.most)
        for step in group
        for wait in step.after
        if wait.before in left
    ]
    changed = True
    while changed:
        changed = False
        # Forwards for what comes after, backwards for what comes before: a chain settles at once.
        for before, after, least, most in waits:
            kept = _near(left[after], left[before], -most, -least)
            changed = changed or len(kept) < len(left[after])
            left[after] = kept
        for before, after, least, most in reversed(waits):
            kept = _near(left[before], left[after], least, most)
            changed = changed or len(kept) < len(left[before])
            left[before] = kept
    return left


def least_moved(group: Group, days: Days, promised: Mapping[str, int]) -> int:
    """Return how many promised days of a group cannot be kept, whatever else is on the board."""
    told = [step.id for step in group if step.id in promised]
    open_still = [key for key in told if promised[key] in days[key]]
    if len(open_still) > MOST_TOLD:
        return len(told) - len(open_still)
    for number in range(len(open_still), 0, -1):
        for kept in combinations(open_still, number):
            held = {**days, **{key: (promised[key],) for key in kept}}
            if all(narrowed(group, held).values()):
                return len(told) - number
    return len(told)


def work_days(days: Days) -> int:
    """Return a number of days that no two of them are further apart than."""
    return 1 + max((each[-1] for each in days.values() if each), default=0)


def _near(days: tuple[int, ...], others: tuple[int, ...], low: int, high: int) -> tuple[int, ...]:
    """Return the days with one of the others from `low` to `high` days after them."""
    return tuple(
        day for day in days if bisect_left(others, day + low) < bisect_right(others, day + high)
    )


def _closings(work: Work, zone: str) -> tuple[Closed, ...]:
    return tuple(each for each in work.closed if not each.zones or zone in each.zones)


def _closed(closings: tuple[Closed, ...], first: dt.date) -> set[int]:
    return {
        day
        for each in closings
        for day in range((each.first - first).days, (each.last - first).days + 1)
    }


def _may(step: Step, number: int, work: Work) -> bool:
    day = work.first + dt.timedelta(days=number)
    machine = work.machines.get(step.machine) if step.machine else None
    return (
        within(day, step.windows)
        and (machine is None or within(day, machine.windows))
        and all(
            wait.least <= (day - work.done[wait.before]).days
            and (wait.most is None or (day - work.done[wait.before]).days <= wait.most)
            for wait in step.after
            if wait.before in work.done
        )
    )


def within(day: dt.date, windows: Iterable[Window]) -> bool:
    """Say whether a day is in one of the windows; without any, every day is."""
    listed = list(windows)
    return not listed or any(each.first <= day <= each.last for each in listed)
