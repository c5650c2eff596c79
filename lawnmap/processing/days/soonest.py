"""The days each step can reach before any schedule: seasons, waits, record, closed days, machines.

Nothing else being in the way: how many people there are is not asked. That is enough to tell what
cannot be done at all, or not in this season, and takes a small part of the time of a schedule.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap.days import Calendar
from lawnmap.logistics.domains import Group, allowed, groups, narrowed
from lawnmap.logistics.work import Work
from lawnmap.model import Specification
from lawnmap.processing.days import joblist
from lawnmap.processing.days.season_place import place_of
from lawnmap.processing.days.season_year import SeasonYear
from lawnmap.processing.days.seasons import seasons
from lawnmap.processing.days.sittings import Key, name
from lawnmap.processing.days.waits import ROLE
from lawnmap.schema import DONE


class Soonest(NamedTuple):
    """The season in which iron, blades and seed of a zone can first be done.

    Each is the year of work and 0 for spring or 1 for autumn, so that an earlier season is less;
    ``NEVER`` when there is no day.
    """

    iron: tuple[int, int]
    blades: tuple[int, int]
    seed: tuple[int, int]


NEVER = (9999, 0)


def reach(work: Work) -> dict[str, tuple[dt.date, dt.date]]:
    """Return the earliest and latest day of each step not done, by the id of its row."""
    free = allowed(work)
    found: dict[str, tuple[dt.date, dt.date]] = {}
    for group in groups(work):
        for key, days in narrowed(group, free).items():
            if days:
                head, _, _ = key.partition("/")
                ends = [work.first + dt.timedelta(days=each) for each in (days[0], days[-1])]
                low, high = found.get(head, (ends[0], ends[1]))
                found[head] = (min(low, ends[0]), max(high, ends[1]))
    return found


def soonest(
    steps: pd.DataFrame, zones: gpd.GeoDataFrame, specification: Specification, calendar: Calendar
) -> dict[str, Soonest]:
    """Return the first season of iron, blades and seed in each zone that has steps.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``, with what is done marked.
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
    calendar : Calendar
    """
    south = place_of(zones, specification).south
    found: dict[tuple[str, str], dt.date] = {}
    soon = first_days(steps, zones, specification, calendar)
    for zone, operation, day in (
        *_done(steps),
        *((zone, operation, day) for (zone, operation, _), day in soon.items()),
    ):
        what = (zone, ROLE.get(operation, operation))
        found[what] = min(day, found.get(what, day))
    return {
        zone: Soonest(
            *(
                SeasonYear.of(found[zone, role], south=south).season if (zone, role) in found
                else NEVER
                for role in Soonest._fields
            )
        )
        for zone in dict.fromkeys(steps["zone_id"].astype(str))
    }  # fmt: skip


def _done(steps: pd.DataFrame) -> Iterator[tuple[str, str, dt.date]]:
    done = steps[(steps["status"] == DONE) & (steps["day"] != "")]
    for zone, operation, day in zip(done["zone_id"], done["operation"], done["day"], strict=True):
        yield str(zone), str(operation), dt.date.fromisoformat(day)


def first_days(
    steps: pd.DataFrame, zones: gpd.GeoDataFrame, specification: Specification, calendar: Calendar
) -> dict[Key, dt.date]:
    """Return the earliest day of each step that has one; parameters as in :func:`soonest`."""
    first, last = joblist.span(specification)
    if last < first:
        return {}
    seasonal = seasons(
        steps, zones, specification, weather=calendar.weather, first=first, last=last
    )
    work, places = joblist.work(steps, specification, calendar, seasonal.windows)
    free = allowed(work)
    soon: dict[str, int] = {}
    for group in groups(work):
        kept, days = _longest(group, free)
        for step in kept:
            row, _, _ = step.id.partition("/")
            soon[row] = min(days[step.id][0], soon.get(row, days[step.id][0]))
    return {key: first + dt.timedelta(days=soon[name(key)]) for key in places if name(key) in soon}


def _longest(
    group: Group, free: dict[str, tuple[int, ...]]
) -> tuple[Group, dict[str, tuple[int, ...]]]:
    """Return the first steps of a zone that have days together, as a schedule keeps them."""
    for number in range(len(group), 0, -1):
        days = narrowed(group[:number], free)
        if all(days.values()):
            return group[:number], days
    return (), {}
