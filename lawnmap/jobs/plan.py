"""The job ``plan``: from a site and choices to every step, quantity, pack and load."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

import geopandas as gpd
import pandas as pd

from lawnmap.days import Calendar, Dates
from lawnmap.jobs.beginning import beginning
from lawnmap.jobs.deciding import decided
from lawnmap.jobs.setting_out import set_out
from lawnmap.jobs.stages import Heard, reached, unheard
from lawnmap.light import Sunlight
from lawnmap.model import Plan, Site, Specification
from lawnmap.processing.buying.asking import asking
from lawnmap.processing.buying.costs import costs
from lawnmap.processing.buying.loads import loads
from lawnmap.processing.buying.totals import totals
from lawnmap.processing.calibration.calibration_doubts import doubts as calibration_doubts
from lawnmap.processing.cautions import cautions, organising
from lawnmap.processing.days.dating import dating
from lawnmap.processing.days.joblist import span
from lawnmap.processing.days.prepared import Prepared, prepared
from lawnmap.processing.days.seasons import seasons
from lawnmap.processing.impossible import impossible
from lawnmap.processing.records.done import Marked, told_before
from lawnmap.processing.setting_out.strips import strips, with_more

EMPTY = Calendar()


def plan(
    site: Site,
    specification: Specification,
    calendar: Calendar = EMPTY,
    *,
    today: dt.date,
    prove_seconds: float = 0.0,
    sun: Sequence[Sunlight] = (),
    setting_out: bool | None = None,
    heard: Heard = unheard,
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
    sun : sequence of Sunlight
        Hours of sun that were worked out before; those that rest on the same facts are used.
    setting_out : bool or None
        Whether pass lines are wanted; None leaves them out on a large site, unless chosen.
    heard : callable
        Hears how far the work is; see :mod:`lawnmap.jobs.stages`.

    Returns
    -------
    Plan
    """
    made, _ = _plan(
        site,
        specification,
        calendar,
        today=today,
        prove_seconds=prove_seconds,
        sun=sun,
        heard=heard,
    )
    if setting_out is False:
        return made
    return set_out(made, asked=bool(setting_out), heard=heard)


def planned(
    site: Site,
    specification: Specification,
    calendar: Calendar = EMPTY,
    *,
    today: dt.date,
    site_id: str,
    sun: Sequence[Sunlight] = (),
) -> tuple[Plan, Prepared | None]:
    """Work out the plan of one site of many, and what its days beside the others are found from.

    Parameters
    ----------
    site, specification, calendar, today
        As :func:`plan` takes them; no pass lines are made.
    site_id : str
        What the site is called among the others.
    sun : sequence of Sunlight

    Returns
    -------
    plan : Plan
        With the days that the site would have by itself; see
        :mod:`lawnmap.processing.days.across` for those it has beside the others of its depot.
    prepared : Prepared or None
        What days are found from; None when nothing waits for one.
    """
    made, left = _plan(site, specification, calendar, today=today, prove_seconds=0.0, sun=sun)
    return made, prepared(made.steps, made.zones, made.specification, left, site_id)


def _plan(
    site: Site,
    specification: Specification,
    calendar: Calendar,
    *,
    today: dt.date,
    prove_seconds: float,
    sun: Sequence[Sunlight],
    heard: Heard = unheard,
) -> tuple[Plan, Calendar]:
    """Return a plan without pass lines, and the calendar with the rest of the record."""
    heard(*reached("areas"))
    begun = beginning(site, specification, calendar, today=today, sun=sun)
    measured, lit, record = begun.measured, begun.lit, begun.record
    heard(*reached("strips"))
    stripped, put_down = strips(begun.zones, measured.lawn, site.features, begun.iron.specification)
    heard(*reached("judgement"))
    zones, marked, specification, offered, bladed = decided(
        stripped,
        site.features,
        begun.iron.specification,
        begun.treatments,
        record.rows,
        since=begun.since,
        lawn=measured.lawn,
        heights=site.heights,
    )
    heard(*reached("days"))
    rows, days = dated(marked, zones, specification, calendar, prove_seconds)
    heard(*reached("costs and loads"))
    sums, money = _priced(rows, days, zones, site.features, specification)
    own = organising(zones, rows, specification)
    made = Plan(
        site=site,
        specification=specification,
        zones=zones,
        steps=rows,
        totals=sums,
        loads=loads(rows, specification),
        cautions=cautions(zones, site.features, rows, specification, own),
        organising=own,
        today=today,
        layers={"lawn": measured.lawn.to_frame("geometry"), **with_more(put_down, bladed)},
        warnings=(
            *measured.warnings,
            *begun.taken,
            *lit.told,
            *record.doubts,
            *told_before(record.rows, site.surveyed, begun.since),
            *impossible(zones, site.features, rows, specification),
            *calibration_doubts(rows, specification, today=today),
        ),
        dates=days,
        tables={**money, "iron_forms": begun.iron.forms, "programmes": offered},
        grids={"sun": lit.sunlight.maps if lit.sunlight else ()},
    )
    return made, replace(calendar, record=marked.left)


def _priced(
    rows: pd.DataFrame,
    days: Dates,
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
) -> tuple[pd.DataFrame, dict[str, pd.DataFrame]]:
    """Return what is to be bought, and the tables of cost and of what the client is asked."""
    sums = totals(rows, specification)
    cost = costs(rows, sums, specification, days)
    asked = asking(cost, rows, days, zones=zones, features=features, specification=specification)
    return sums, {"costs": cost, "quote": asked}


def dated(
    marked: Marked,
    zones: gpd.GeoDataFrame,
    specification: Specification,
    calendar: Calendar,
    prove_seconds: float = 0.0,
) -> tuple[pd.DataFrame, Dates]:
    """Return the steps with their days, seasons, weather and the rest of the record heeded.

    Parameters
    ----------
    marked : Marked
        The table ``steps``, and the rows of the record that match none of them.
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
        As the judgement follows it.
    calendar : Calendar
    prove_seconds : float
        Time to look for better days and prove that there are none [s].

    Returns
    -------
    steps : DataFrame
        With the columns of the step ``dates``.
    dates : Dates
    """
    rows, calendar = marked.steps, replace(calendar, record=marked.left)
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
