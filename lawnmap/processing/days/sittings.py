"""Rows of a plan as work for a schedule: what is done in one go, cut into days that hold it.

Blades and clearing are done on the same day, so a job that is too long for a day is cut through
both: each day has its share of the passes and clears what they brought up. Where one machine is not
enough for a day, as many machines alike share the zone as there are people for.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from lawnmap.logistics.work import Crew, Machine, Step, Wait, Window

WITHIN_DAYS = 7  # from one day of a job to its next: common practice, no source
SHARED = ("collection", "hand")  # kinds of work that all people do together
HOUR = 60

Key = tuple[str, str, int]


class Row(NamedTuple):
    """One step of a plan that is to have a day.

    Attributes
    ----------
    key : tuple
        zone_id, operation and its number among such steps of the zone.
    hours : float
        Of one person [h].
    kind : str
    machine : str or None
        A machine that is limited in number, or hired.
    after : tuple of Wait
        By the name of an earlier row.
    windows : tuple of Window
    """

    key: Key
    hours: float
    kind: str
    machine: str | None
    after: tuple[Wait, ...]
    windows: tuple[Window, ...]

    @property
    def name(self) -> str:
        """The id of the step; the parts of one cut into days are ``name/1``, ``name/2`` …."""
        return name(self.key)


def name(key: Key) -> str:
    """Return the id of a step in a schedule."""
    return f"{key[0]} {key[1]} {key[2]}"


def sittings(rows: Sequence[Row]) -> list[list[Row]]:
    """Return rows in their order, those together that are done on the same day.

    Examples
    --------
    >>> blades = Row(("a", "scarifying", 1), 3, "blades", None, (), ())
    >>> clearing = Row(("a", "clearing", 1), 5, "collection", None,
    ...                (Wait("a scarifying 1", 0, 0),), ())
    >>> [len(each) for each in sittings([blades, clearing])]
    [2]
    """
    result: list[list[Row]] = []
    for row in rows:
        same_day = {each.before for each in row.after if each.most == 0}
        if result and same_day & {each.name for each in result[-1]}:
            result[-1].append(row)
        else:
            result.append([row])
    return result


def steps(rows: Sequence[Row], crew: Crew, machines: Mapping[str, Machine]) -> list[Step]:
    """Return the steps of one zone for a schedule.

    Parameters
    ----------
    rows : sequence of Row
        Of one zone, in the order of work.
    crew : Crew
    machines : mapping of str to Machine
    """
    last: dict[str, str] = {}
    result: list[Step] = []
    for sitting in sittings(rows):
        count = _days(sitting, crew, machines)
        for place in range(1, count + 1):
            previous = ""
            for row in sitting:
                if row.hours == 0 and place < count:
                    continue  # nothing to cut: it is done once, with the last part
                shared = _shared(row, count, crew, machines)
                number = count * shared if row.hours else 1
                for part in range((place - 1) * shared + 1, place * shared + 1):
                    own = row.name if number == 1 else f"{row.name}/{part}"
                    waits = _waits(row, part, shared, previous, last)
                    result.append(_part(row, own, number, waits, crew))
                    previous, last[row.name] = own, own
    return result


def _waits(
    row: Row, part: int, shared: int, previous: str, last: Mapping[str, str]
) -> tuple[Wait, ...]:
    """Return what a part waits for: its own day before, and what comes before it on its day."""
    if part == 1 or row.hours == 0:
        waits = [replace(each, before=last.get(each.before, each.before)) for each in row.after]
    elif part % shared == 1 % shared:
        waits = [Wait(f"{row.name}/{part - 1}", 1, WITHIN_DAYS)]
    else:
        waits = []
    if previous and all(each.before != previous for each in waits):
        waits.append(Wait(previous, 0, 0))
    return tuple(waits)


def _part(row: Row, own: str, number: int, waits: tuple[Wait, ...], crew: Crew) -> Step:
    zone, operation, _ = row.key
    people = _people(row, crew)
    hours = row.hours / number / people
    return Step(own, zone, operation, hours, row.machine, people, waits, row.windows)


def _people(row: Row, crew: Crew) -> int:
    """Return how many people do a row together: all of them, but one to a machine."""
    return crew.people if row.kind in SHARED or row.machine is None else 1


def _days(sitting: Sequence[Row], crew: Crew, machines: Mapping[str, Machine]) -> int:
    """Return the fewest days that hold a sitting, each step rounded up to whole minutes."""
    total = math.fsum(row.hours for row in sitting)
    count = max(1, math.ceil(total / (crew.people * crew.hours) - 1e-9))
    while not _fits(sitting, count, crew, machines):
        count += 1
    return count


def _fits(sitting: Sequence[Row], count: int, crew: Crew, machines: Mapping[str, Machine]) -> bool:
    minutes = parts = 0
    for row in sitting:
        people, shared = _people(row, crew), _shared(row, count, crew, machines)
        own = _minutes(row, count * shared, crew)
        minutes += own * people * shared
        parts += shared
        if own > _most(row, crew, machines) and own > 1:
            return False
    return minutes <= max(int(crew.hours * HOUR + 1e-6) * crew.people, parts * crew.people)


def _shared(row: Row, count: int, crew: Crew, machines: Mapping[str, Machine]) -> int:
    """Return how many machines alike it takes to do a row in some days: one, if one is enough."""
    if row.machine is None:
        return 1
    needed = math.ceil(_minutes(row, count, crew) / _most(row, crew, machines))
    return max(1, min(needed, machines[row.machine].count, crew.people))


def _minutes(row: Row, number: int, crew: Crew) -> int:
    """Return the whole minutes of one of a number of parts [min]."""
    return math.ceil(row.hours / number / _people(row, crew) * HOUR - 1e-6)


def _most(row: Row, crew: Crew, machines: Mapping[str, Machine]) -> int:
    """Return what fits a day of one person, or of one machine [min]."""
    hours = min(crew.hours, machines[row.machine].hours) if row.machine else crew.hours
    return max(int(hours * HOUR + 1e-6), 1)


def hours(row: Mapping[str, Any], planned: str) -> float:
    """Return the hours a step is planned with: its fewest, its most, or the middle [h].

    The middle is as many times the fewest as the most is of it: ranges span tens.
    """
    low, high = float(row["hours_low"]), float(row["hours"])
    if math.isnan(high):
        return 0.0
    if math.isnan(low) or planned == "most":
        return high
    if planned == "fewest" or low <= 0:
        return low if planned == "fewest" else high / 2
    return math.sqrt(low * high)
