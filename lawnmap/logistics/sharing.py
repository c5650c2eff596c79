"""What the rest of a visit takes, so that no visit is begun on a day too full to end it.

Only of many sites: a site by itself has its days to itself.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from lawnmap.logistics.bound import visits_before
from lawnmap.logistics.domains import Group
from lawnmap.logistics.work import HOUR, Work


class Whole(NamedTuple):
    """What a whole visit takes [min]: of people, and of each machine that it needs."""

    people: int
    machines: tuple[tuple[str, int], ...]


Visits = Mapping[str, Whole]  # by id of each step, the visit it is a part of


def visits(work: Work, groups: Sequence[Group]) -> Visits:
    """Return what the visits to many sites take; nothing is known of a site by itself.

    Steps of a site of which none must wait for a day after another are one visit. What takes more
    than a day counts as a day.
    """
    steps = [step for group in groups for step in group]
    if len({step.site for step in steps}) <= 1:
        return {}
    before = visits_before(groups)
    people: Counter[tuple[str, int]] = Counter()
    machines: dict[tuple[str, int], Counter[str]] = defaultdict(Counter)
    for step in steps:
        visit = step.site, before[step.id]
        people[visit] += step.minutes * step.crew
        if step.machine is not None and step.machine in work.machines:
            machines[visit][step.machine] += step.minutes
    day = int(work.crew.hours * HOUR + 1e-6) * work.crew.people
    most = {
        name: int(each.hours * HOUR + 1e-6) * each.count for name, each in work.machines.items()
    }
    whole = {
        visit: Whole(
            min(minutes, day),
            tuple((name, min(own, most[name])) for name, own in sorted(machines[visit].items())),
        )
        for visit, minutes in people.items()
    }
    return {step.id: whole[step.site, before[step.id]] for step in steps}
