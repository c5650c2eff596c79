"""The job ``plan``: from a site and choices to every step, quantity, pack and load."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import geopandas as gpd
import pandas as pd

from lawnmap import plugins
from lawnmap.days import Calendar, Dates
from lawnmap.jobs.deciding import decided
from lawnmap.jobs.iron_choice import iron_choice
from lawnmap.jobs.measure import measure
from lawnmap.model import Plan, Site, Specification
from lawnmap.plugins import Treatment
from lawnmap.processing.buying.costs import costs
from lawnmap.processing.buying.loads import loads
from lawnmap.processing.buying.quoting import quoting
from lawnmap.processing.buying.totals import totals
from lawnmap.processing.calibration.calibration_doubts import doubts as calibration_doubts
from lawnmap.processing.cautions import cautions
from lawnmap.processing.days.dating import dating
from lawnmap.processing.days.joblist import span
from lawnmap.processing.days.seasons import seasons
from lawnmap.processing.impossible import impossible, refuse
from lawnmap.processing.records.done import counted_from, past, remembered, told_before
from lawnmap.processing.strips import strips

EMPTY = Calendar()


def plan(
    site: Site,
    specification: Specification,
    calendar: Calendar = EMPTY,
    *,
    today: dt.date,
    prove_seconds: float = 0.0,
) -> Plan:
    """Work out a plan. It is never stored: the same inputs give the same plan again.

    Parameters
    ----------
    site : Site
    specification : Specification
        With the depot's label cards and machines in it; see :func:`lawnmap.jobs.choices.choices`.
    calendar : Calendar
        What was done, promised and which days are closed; see
        :func:`lawnmap.jobs.calendar.calendar`.
    today : date
    prove_seconds : float
        Time to look for better days and prove that there are none [s].
    """
    refuse(specification)
    measured = measure(site)
    since = counted_from(site.surveyed, specification, today)
    record = past(calendar.record, measured.zones, today)
    known, work = remembered(measured.zones, record.rows), treatments(specification)
    iron = iron_choice(known, measured.lawn, site.features, specification, work)
    stripped, layers = strips(known, measured.lawn, site.features, iron.specification)
    zones, marked, specification, offered = decided(
        stripped, site.features, iron.specification, work, record.rows, since=since
    )
    beside = replace(calendar, record=marked.left)
    rows, days = _dated(marked.steps, zones, specification, beside, prove_seconds)
    sums = totals(rows, specification)
    cost = costs(rows, sums, specification, days)
    asked = quoting(cost, rows, zones, site.features, specification, today=today)
    return Plan(
        site=site,
        specification=specification,
        zones=zones,
        steps=rows,
        totals=sums,
        loads=loads(rows, specification),
        cautions=cautions(zones, site.features, rows, specification),
        today=today,
        layers={"lawn": measured.lawn.to_frame("geometry"), **layers},
        warnings=(
            *measured.warnings,
            *record.doubts,
            *told_before(record.rows, site.surveyed, since),
            *impossible(zones, site.features, rows, specification),
            *calibration_doubts(rows, specification, today=today),
        ),
        dates=days,
        tables={
            "costs": cost,
            "quote": asked,
            "iron_forms": iron.forms,
            "programmes": offered,
        },
    )


def _dated(
    rows: pd.DataFrame,
    zones: gpd.GeoDataFrame,
    specification: Specification,
    calendar: Calendar,
    prove_seconds: float,
) -> tuple[pd.DataFrame, Dates]:
    """Return the steps with their days, seasons and weather heeded."""
    first, last = span(specification)
    if last < first:
        return dating(rows, specification, calendar)
    found = seasons(rows, zones, specification, weather=calendar.weather, first=first, last=last)
    dated, days = dating(
        rows.assign(day_rule=found.rules),
        specification,
        calendar,
        found.windows,
        prove_seconds=prove_seconds,
    )
    on = [dt.date.fromisoformat(each) if each else None for each in dated["day"]]
    told = (*days.told, *found.told, *found.said_of(on), *found.cautions)
    return dated, replace(days, told=tuple(dict.fromkeys(told)))


def treatments(specification: Specification) -> dict[str, Treatment]:
    """Return the treatment plugins that the site or any zone of it has chosen, by name."""
    chosen = list(specification.choices["operations"])
    for own in specification.by_zone.values():
        chosen += [name for name in own.get("operations", ()) if name not in chosen]
    return {name: plugins.load("treatments", name) for name in chosen}
