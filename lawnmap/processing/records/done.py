"""The step ``done``: rows of a plan that are on record, so that no work is planned twice."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap.files.numbers import number
from lawnmap.model import Specification
from lawnmap.processing.days.waits import ROLE
from lawnmap.processing.records import recorded
from lawnmap.schema import DO, DONE, NOT_ALLOWED, NOT_NEEDED, NOT_SET, PRICING

SEASON = dt.timedelta(days=300)  # work longer ago than this is another year's
WHOLE = 0.9  # of the ground of a step, from which it counts as done
# What was done was done, whatever the plan would allow today.
MAY_BE_DONE = (DO, PRICING, NOT_SET, NOT_ALLOWED)
BY_GROUND = ("area_m2", "amount_low", "amount", "water_l", "hours_low", "hours", "machine_hours")

Row = Mapping[str, str]


class Past(NamedTuple):
    """Work on record that counts, the earliest first, and what is to be said of the rest."""

    rows: tuple[Row, ...]
    doubts: tuple[str, ...]


class Marked(NamedTuple):
    """The steps with those marked that were done, and the rows of the record that match none."""

    steps: pd.DataFrame
    left: tuple[Row, ...]


def past(record: Sequence[Row], zones: gpd.GeoDataFrame, today: dt.date) -> Past:
    """Return the work on record of the zones there are: not taken back, and done by today.

    Parameters
    ----------
    record : sequence of mapping
        Every row of ``record.csv``.
    zones : GeoDataFrame
        A zone that was cut or merged has the past of those it came from.
    today : date
    """
    zone_ids = [str(each) for each in zones.index]
    parents = dict(zip(zone_ids, zones["came_from"].fillna(""), strict=True))
    rows = recorded.handed_down(record, parents)
    dated = [(day, row) for row in rows if (day := recorded.day(row)) is not None]
    kept = [
        (day, {**row, "date": day.isoformat()})
        for day, row in dated
        if day <= today and row.get("zone_id") in parents
    ]
    doubts = recorded.doubts(rows, zone_ids)
    doubts += [
        f"record.csv, {row.get('record_id')}: {day} has not come yet: it is counted nowhere."
        for day, row in dated
        if day > today
    ]
    return Past(tuple(row for _, row in sorted(kept, key=lambda each: each[0])), tuple(doubts))


def done(steps: pd.DataFrame, record: Sequence[Row], *, since: dt.date | None) -> Marked:
    """Mark what was done since the lawn was assessed.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``.
    record : sequence of mapping
        Rows that stand, oldest first: nothing cancelled, each with a day.
    since : date or None
        The day of the survey; None is ever.

    Returns
    -------
    Marked

    Notes
    -----
    The first rows on record of an operation on a zone are the first such step of the plan there,
    and so on. Rows that cover less than nine tenths of its ground leave the rest to be done, with
    what that takes. Amounts stay those that were planned: what was used is in the record.
    """
    rows: dict[tuple[str, str], list[Row]] = defaultdict(list)
    left: list[Row] = []
    for row in record:
        fresh = since is None or _date(row) >= since
        what = (row.get("zone_id", ""), row.get("operation", ""))
        (rows[what] if fresh else left).append(row)
    table = [{str(key): cell for key, cell in each.items()} for each in steps.to_dict("records")]
    for cells in table:
        waiting = rows[str(cells["zone_id"]), str(cells["operation"])]
        if waiting and cells["status"] in MAY_BE_DONE:
            left += _marked(cells, waiting)
    left += [row for each in rows.values() for row in each]
    _without_mowing_late(table)
    marked = pd.DataFrame(table, columns=steps.columns).astype(steps.dtypes.to_dict())
    return Marked(marked.set_index(steps.index), tuple(sorted(left, key=lambda row: row["date"])))


def counted_from(surveyed: dt.date | None, specification: Specification, today: dt.date) -> dt.date:
    """Return the day from which work on record is part of the plan.

    That is the survey, and never longer than a season before the first day of the work.
    """
    season: dt.date = (specification.choice("first_day") or today) - SEASON
    return season if surveyed is None else max(surveyed, season)


def told_before(record: Sequence[Row], surveyed: dt.date | None, since: dt.date) -> tuple[str, ...]:
    """Say that work shortly before the survey is no part of the plan, where there is any."""
    if surveyed is None or surveyed > since:
        return ()
    early = [row for row in record if surveyed - SEASON <= _date(row) < surveyed]
    if not early:
        return ()
    return (
        f"record.csv: {len(early)} rows are from before the survey of {surveyed}. Waits count from "
        "them, but the plan starts from what the survey found: they are no part of it.",
    )


def _date(row: Row) -> dt.date:
    return dt.date.fromisoformat(row["date"])


def _marked(cells: dict[str, Any], waiting: list[Row]) -> list[Row]:
    """Mark a step with the rows that are it, and return those that did only part of it."""
    planned = float(cells["area_m2"])
    taken, covered = [], 0.0
    while waiting and not covered >= WHOLE * planned:
        row = waiting.pop(0)
        taken.append(row)
        covered += _area(row, planned)
        if math.isnan(planned):
            break
    day = taken[-1]["date"]
    if math.isnan(planned) or covered >= WHOLE * planned:
        cells |= {"status": DONE, "day": day}
        return []
    if cells["status"] in (DO, PRICING):
        rest = 1 - covered / planned
        cells |= {name: cells[name] * rest for name in BY_GROUND}
        done_so_far = f"{covered:,.0f} of {planned:,.0f} m² done by {day}: this is the rest"
        cells["remark"] = "; ".join(each for each in (done_so_far, cells["remark"]) if each)
    return taken


def _area(row: Row, planned: float) -> float:
    """Return the ground a row covers [m²]; one that says none, or none that can be, covers all."""
    try:
        area = number(row.get("area_m2", ""))
    except ValueError:
        return planned
    return area if area > 0 else planned


def _without_mowing_late(table: list[dict[str, Any]]) -> None:
    """Take out mowing before blades that have been over the zone already."""
    over = {
        cells["zone_id"]: cells["sequence"]
        for cells in table
        if ROLE.get(cells["operation"]) == "blades" and cells["status"] == DONE
    }
    for cells in table:
        before = cells["sequence"] < over.get(cells["zone_id"], 0)
        if before and cells["operation"] == "mowing" and cells["status"] == DO:
            cells |= {"status": NOT_NEEDED, "remark": "the blades have been over it"}


def remembered(zones: gpd.GeoDataFrame, record: Sequence[Row]) -> gpd.GeoDataFrame:
    """Return zones that know from the record when they were last sown and fed.

    A later day on record is taken in place of the one that was noted with the zone.
    """
    result = zones
    for role, column in (("seed", "sown_last"), ("feed", "fed_last")):
        latest: dict[str, str] = {}
        for row in record:
            if ROLE.get(row.get("operation", "")) == role:
                zone = row.get("zone_id", "")
                latest[zone] = max(latest.get(zone, ""), row["date"])
        noted = [each if isinstance(each, str) else "" for each in result[column]]
        days = [
            max(one, latest.get(str(zone), ""))
            for zone, one in zip(result.index, noted, strict=True)
        ]
        result = result.assign(**{column: pd.Series(days, index=result.index, dtype=object)})
    return result
