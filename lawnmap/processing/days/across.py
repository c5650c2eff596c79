"""Days for all sites of one depot, which share its people, its machines and its days.

How to use it, for whoever works many sites out:

1. ``prepared(steps, zones, specification, calendar, site)`` for each site by itself, in any order
   and on any machine; or ``lawnmap.jobs.plan.planned``, which gives it beside the plan. Keep
   ``.json()`` of it, which is small, beside the other results of the site.
2. When all sites are done: ``across(Prepared.of(each) for each in kept)`` once for each depot, with
   the sites of that depot.
3. ``found.sites`` has visits, first and last day and steps without a day by site;
   ``found.machines`` each machine and day; ``placed(steps, found, site)`` puts the days into the
   table ``steps`` of a site, in place of those it had when it was planned by itself.

A day's hours are shared: a machine, and the people, go from site to site on a day as long as it
has hours for all that is done with them. Time on the road is in no step, and so not counted.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from lawnmap.logistics.dates import Schedule
from lawnmap.logistics.work import Crew, Machine, Work
from lawnmap.processing.days.dating import COLUMNS, cells, hire_stretched
from lawnmap.processing.days.finding import Found, found, head
from lawnmap.processing.days.prepared import Prepared
from lawnmap.processing.days.together import parted, together

KEY = ["zone_id", "operation", "number"]
ROAD = "Time on the road between sites is not counted in the hours of a day."


class Across(NamedTuple):
    """The days of the sites of one depot.

    Attributes
    ----------
    steps : DataFrame
        site_id, zone_id, operation and the step's number among such steps of the zone, then the
        columns of the step ``dates``. By site and in the order of its work; ``day_why`` says why a
        step has no day.
    sites : DataFrame
        site_id, visits, day_first, day_last, undated: one row a site that has steps.
    machines : DataFrame
        machine, unit (1 the first), day, sites (number), hours: one row a machine and day.
    told : tuple of str
        Counts, bound and gap.
    work, schedule : Work, Schedule
        What the days were found for, and the days.
    """

    steps: pd.DataFrame
    sites: pd.DataFrame
    machines: pd.DataFrame
    told: tuple[str, ...]
    work: Work
    schedule: Schedule


def across(
    prepared: Iterable[Prepared],
    crew: Crew | None = None,
    machines: Mapping[str, Machine] | None = None,
) -> Across | None:
    """Return the days of all sites of a depot; None when there is nothing to be done at any.

    Parameters
    ----------
    prepared : iterable of Prepared
    crew, machines
        See :func:`lawnmap.processing.days.together.together`.
    """
    some = [each for each in prepared if each.work.steps]
    if not some:
        return None
    whole = together(some, crew, machines)
    result = found(whole)
    steps = _steps(whole, result)
    sites = _sites(steps, result.schedule)
    return Across(
        steps,
        sites,
        _machines(result.schedule),
        (*_told(result, steps, len(sites)), ROAD),
        result.work,
        result.schedule,
    )


def placed(steps: pd.DataFrame, days: Across, site: str) -> pd.DataFrame:
    """Return the table ``steps`` of a site with the days it has beside the other sites.

    Rows that need no day keep what they had.
    """
    own = days.steps[days.steps["site_id"] == site].set_index(KEY)
    what = ["zone_id", "operation"]
    number = steps.groupby(what, sort=False).cumcount() + 1
    keys = pd.MultiIndex.from_frame(steps[what].assign(number=number))
    at = own.index.get_indexer(keys)
    known = at >= 0
    result = {}
    for column in COLUMNS:
        cells_of = steps[column].to_numpy(copy=True)
        cells_of[known] = own[column].to_numpy()[at[known]]
        result[column] = cells_of
    return steps.assign(**result)


def _steps(whole: Work, result: Found) -> pd.DataFrame:
    """Return one row a step with its days; the record beside the steps has none."""
    rows: dict[str, list[Any]] = defaultdict(list)
    of_row = cells(result)
    for key in dict.fromkeys(head(step.id) for step in whole.steps):
        site, own = parted(key)
        zone, operation, number = own.split(" ")
        if operation == "record":
            continue
        row = (site, zone, operation, int(number), *of_row(key))
        for name, cell in zip(("site_id", *KEY, *COLUMNS), row, strict=True):
            rows[name].append(cell)
    return pd.DataFrame(rows)


def _sites(steps: pd.DataFrame, schedule: Schedule) -> pd.DataFrame:
    visits: dict[str, list[dt.date]] = defaultdict(list)
    for site, day in schedule.visits:
        visits[site].append(day)
    undated = (steps["day"] == "").groupby(steps["site_id"]).sum()
    ids = undated.index.to_numpy(dtype=object)
    days = [visits.get(each, []) for each in ids]
    return pd.DataFrame(
        {
            "site_id": ids,
            "visits": np.array([len(each) for each in days], dtype=float),
            "day_first": [min(each).isoformat() if each else "" for each in days],
            "day_last": [max(each).isoformat() if each else "" for each in days],
            "undated": undated.to_numpy(dtype=float),
        }
    )


def _machines(schedule: Schedule) -> pd.DataFrame:
    """Return each machine with each day it is out for what is still to be done."""
    hours: dict[tuple[str, int, str], float] = defaultdict(float)
    sites: dict[tuple[str, int, str], set[str]] = defaultdict(set)
    for each in schedule.dated:
        if each.step.machine is not None and not each.done:
            key = each.step.machine, each.unit + 1, each.day.isoformat()
            hours[key] += each.step.hours
            sites[key].add(each.step.site)
    keys = sorted(hours)
    return pd.DataFrame(
        {
            "machine": [key[0] for key in keys],
            "unit": np.array([key[1] for key in keys], dtype=int),
            "day": [key[2] for key in keys],
            "sites": np.array([len(sites[key]) for key in keys], dtype=float),
            "hours": np.array([hours[key] for key in keys], dtype=float),
        }
    )


def _told(result: Found, steps: pd.DataFrame, sites: int) -> Iterator[str]:
    work, schedule = result.work, result.schedule
    yield f"{sites} sites together: {schedule.told()}" if sites != 1 else schedule.told()
    yield from hire_stretched(work, schedule)
    without = steps[steps["day"] == ""]
    if len(without):
        of = without["site_id"].nunique()
        yield f"Steps that find no day: {len(without)}, on {of} of the sites; each says why."
