"""The fewest days that any schedule must have, whatever it does: what the gap is counted from."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

from lawnmap.logistics.domains import ALIKE, Between, Days, Group, least_moved, waits_within
from lawnmap.logistics.work import HOUR, Step, Work


@dataclass(frozen=True)
class Bound:
    """No schedule has fewer than these.

    Attributes
    ----------
    moved : int
        Promised dates that cannot be kept.
    visits, hire : int
        Visit days, and days of hire over all machines.
    """

    moved: int
    visits: int
    hire: int


def bound(work: Work, groups: Iterable[Group], days: Days) -> Bound:
    """Return a lower bound on what a schedule of these groups counts.

    Parameters
    ----------
    work : Work
    groups : iterable of Group
        Those that have dates.
    days : mapping of str to tuple of int
        The days each step may have.

    Notes
    -----
    A stretch of days that wholly holds the possible days of some steps needs as many days as their
    hours fill. Stretches that do not overlap add up; the best sum is found over all of them. Steps
    that come at least a day after others, or before others, cannot be on the first visits, or the
    last: those count besides.
    """
    listed = [group for group in groups if group]
    steps = [step for group in listed for step in group]
    promised = {key: (day - work.first).days for key, day in work.promised.items()}
    sites: dict[str, list[Step]] = defaultdict(list)
    for step in steps:
        sites[step.site].append(step)
    links = [link for group in listed for link in _links(group)]
    before, behind = _before(links), _behind(links)
    by_site = sum(_chained(work, own, days, before, behind) for own in sites.values())
    return Bound(
        moved=sum(least_moved(group, days, promised) for group in listed),
        visits=max(by_site, _visits(work, steps, days)),
        hire=sum(_hire(work, name, steps, days) for name in work.machines),
    )


def _visits(work: Work, steps: Sequence[Step], days: Days) -> int:
    """Return the fewest days for the hours of people and of each machine."""
    people = int(work.crew.hours * HOUR + 1e-6) * work.crew.people
    loads = [(people, {step.id: step.minutes * step.crew for step in steps})]
    for name, machine in work.machines.items():
        own = {step.id: step.minutes for step in steps if step.machine == name}
        loads.append((int(machine.hours * HOUR + 1e-6) * machine.count, own))
    return max(_packed(minutes, most, days) for most, minutes in loads)


def _hire(work: Work, name: str, steps: Sequence[Step], days: Days) -> int:
    machine = work.machines[name]
    own = {step.id: step.minutes for step in steps if step.machine == name}
    return _packed(own, int(machine.hours * HOUR + 1e-6), days) if machine.hired else 0


def _packed(minutes: dict[str, int], most: int, days: Days) -> int:
    """Return the greatest sum, over stretches that do not overlap, of the days each must have."""
    ends: dict[int, list[tuple[int, int]]] = defaultdict(list)  # first day: last day and minutes
    for key, need in minutes.items():
        ends[days[key][0]].append((days[key][-1], need))
    firsts = sorted(ends, reverse=True)
    best = {-1: 0}  # by last day, the most days needed up to it
    before = -1
    for last in sorted({last for each in ends.values() for last, _ in each}):
        best[last] = best[before]
        before, inside, there = last, 0, False
        for first in firsts:
            held = [need for end, need in ends[first] if end <= last]
            inside, there = inside + sum(held), there or bool(held)
            if there:
                earlier = max(best[end] for end in best if end < first)
                best[last] = max(best[last], earlier + max(-(-inside // most), 1))
    return best[before]


def _chained(
    work: Work, steps: Sequence[Step], days: Days, before: Counter[str], behind: Counter[str]
) -> int:
    """Return the fewest visits of one site, with what must lie before and behind the steps."""
    best = 0
    for early in range(max(before[step.id] for step in steps) + 1):
        for late in range(max(behind[step.id] for step in steps) + 1):
            held = [s for s in steps if before[s.id] >= early and behind[s.id] >= late]
            if held:
                best = max(best, early + late + _visits(work, held, days))
    return best


def visits_before(groups: Iterable[Group]) -> Counter[str]:
    """Return for each step the visits of its site that must lie before its day."""
    return _before([link for group in groups for link in _links(group)])


def _before(links: Sequence[tuple[str, str]]) -> Counter[str]:
    """Return for each step the visits of its site that must lie before its day."""
    result: Counter[str] = Counter()
    for earlier, later in links:
        result[later] = max(result[later], result[earlier] + 1)
    return result


def _behind(links: Sequence[tuple[str, str]]) -> Counter[str]:
    """Return for each step the visits of its site that must lie behind its day."""
    return _before([(later, earlier) for earlier, later in reversed(links)])


def _links(group: Group) -> list[tuple[str, str]]:
    """Return the steps of one site of which one must lie at least a day before the other.

    A pair comes after all pairs that end where it begins.
    """
    apart = _apart(len(group), waits_within(group))
    number = range(len(group))
    rank = [sum(apart[i][j] >= 1 for i in number) for j in number]
    return [
        (group[i].id, group[j].id)
        for i in sorted(number, key=lambda each: rank[each])
        for j in number
        if apart[i][j] >= 1 and group[i].site == group[j].site
    ]


@lru_cache(maxsize=ALIKE)
def _apart(number: int, waits: tuple[Between, ...]) -> tuple[tuple[float, ...], ...]:
    """Return the days from each step to each other that all waits together ask for, at least."""
    apart = [[-math.inf] * number for _ in range(number)]
    for i, j, least, most in waits:
        apart[i][j] = max(apart[i][j], least)
        if most is not None:
            apart[j][i] = max(apart[j][i], -most)
    for k, i, j in product(range(number), repeat=3):
        apart[i][j] = max(apart[i][j], apart[i][k] + apart[k][j])
    return tuple(map(tuple, apart))
