"""The days each step may have before anything else is put on a day.

Inside, days are the bits of a whole number, the first day the lowest: what many steps have in
common, and what a wait leaves of it, are a few shifts then and not a look at each day.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache, reduce
from itertools import combinations
from operator import or_

from lawnmap.logistics.work import Step, Window, Work

MOST_TOLD = 8  # promised days of one group, of which each choice to keep is tried
ALIKE = 2_000  # chains of steps of which the days are remembered: most zones have the same few
Days = Mapping[str, tuple[int, ...]]
Group = tuple[Step, ...]
Between = tuple[int, int, int, int | None]  # places of two steps, and least and most days between


def allowed(work: Work, steps: Iterable[Step] | None = None) -> dict[str, tuple[int, ...]]:
    """Return for each step that is not done its days, as numbers from the first day on.

    For the given steps of the work only, when any are given.

    Kept are days that are worked and not closed, within a window of the step and of its machine,
    and far enough from what is on record.
    """
    asked = work.steps if steps is None else tuple(steps)
    worked = {site: _worked(work, site) for site in ("", *work.weekdays_of)}
    closed = _closed(work)
    seasons = {windows: _open(work, windows) for windows in {step.windows for step in asked}}
    machines = {name: _open(work, each.windows) for name, each in work.machines.items()}
    result = {}
    for step in asked:
        if step.id in work.done:
            continue
        days = worked.get(step.site, worked[""]) & seasons[step.windows]
        days &= machines.get(step.machine or "", -1)
        days &= ~(closed.get("", 0) | closed.get(step.zone, 0))
        for wait in step.after:
            if wait.before in work.done:
                since = (work.done[wait.before] - work.first).days
                most = days.bit_length() if wait.most is None else since + wait.most
                days &= _run(since + wait.least, most)
        result[step.id] = _numbers(days)
    return result


def groups(work: Work) -> list[Group]:
    """Return the steps that are not done, those that wait for each other together, in order."""
    steps = [step for step in work.ordered if step.id not in work.done]
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
    left = _left(tuple(days[step.id] for step in group), waits_within(group))
    return {step.id: own for step, own in zip(group, left, strict=True)}


def waits_within(group: Group) -> tuple[Between, ...]:
    """Return the waits of a group by the places of the step before and the step that waits."""
    place = {step.id: number for number, step in enumerate(group)}
    return tuple(
        (place[wait.before], number, wait.least, wait.most)
        for number, step in enumerate(group)
        for wait in step.after
        if wait.before in place
    )


@lru_cache(maxsize=ALIKE)
def _left(
    days: tuple[tuple[int, ...], ...], waits: tuple[Between, ...]
) -> tuple[tuple[int, ...], ...]:
    return tuple(map(_numbers, _settled([_bits(each) for each in days], waits)))


def with_others(days: Sequence[Sequence[int]], waits: tuple[Between, ...]) -> list[list[int]]:
    """Return those of some days of each step that the others' days leave, in their order."""
    left = _settled([sum(1 << day for day in own) for own in days], waits)
    return [[day for day in own if kept >> day & 1] for own, kept in zip(days, left, strict=True)]


def _settled(left: list[int], waits: tuple[Between, ...]) -> list[int]:
    """Return the days left to each step when each has one of another's at the right distance."""
    before: list[int] = []
    while left != before:
        before = left.copy()
        # Forwards for what comes after, backwards for what comes before: a chain settles at once.
        for one, two, least, most in waits:
            left[two] &= _later(left[one], least, most)
        for one, two, least, most in reversed(waits):
            left[one] &= _sooner(left[two], least, most)
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


def _worked(work: Work, site: str) -> int:
    number = (work.last - work.first).days + 1
    weekdays, begins = work.weekdays_at(site), work.first.weekday()
    return sum(1 << day for day in range(number) if (begins + day) % 7 in weekdays)


def _closed(work: Work) -> dict[str, int]:
    """Return the closed days of each zone that has some of its own, and of all under no name."""
    result: dict[str, int] = {}
    for each in work.closed:
        days = _run((each.first - work.first).days, (each.last - work.first).days)
        for zone in each.zones or ("",):
            result[zone] = result.get(zone, 0) | days
    return result


def _open(work: Work, windows: Iterable[Window]) -> int:
    """Return the days in one of some windows; without any, every day."""
    runs = [_run((each.first - work.first).days, (each.last - work.first).days) for each in windows]
    return reduce(or_, runs) if runs else -1


def _run(low: int, high: int) -> int:
    """Return the days from `low` to `high`, both in; those before the first are none."""
    return (1 << high + 1) - (1 << max(low, 0)) if high >= max(low, 0) else 0


def _later(days: int, least: int, most: int | None) -> int:
    """Return the days that lie from `least` to `most` days after one of some days."""
    days <<= least
    if most is None:
        return -(days & -days)  # from the first of them on
    wide = most - least + 1
    have = 1
    while have < wide:
        more = min(have, wide - have)
        days |= days << more
        have += more
    return days


def _sooner(days: int, least: int, most: int | None) -> int:
    """Return the days that lie from `least` to `most` days before one of some days."""
    days >>= least
    if most is None:
        return (1 << days.bit_length()) - 1
    wide = most - least + 1
    have = 1
    while have < wide:
        more = min(have, wide - have)
        days |= days >> more
        have += more
    return days


@lru_cache(maxsize=ALIKE)
def _bits(days: tuple[int, ...]) -> int:
    return sum(1 << day for day in days)


@lru_cache(maxsize=ALIKE)
def _numbers(bits: int) -> tuple[int, ...]:
    return tuple(day for day in range(bits.bit_length()) if bits >> day & 1)


def within(day: dt.date, windows: Iterable[Window]) -> bool:
    """Say whether a day is in one of the windows; without any, every day is."""
    listed = list(windows)
    return not listed or any(each.first <= day <= each.last for each in listed)
