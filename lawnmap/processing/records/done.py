"""The step ``done``: rows of a plan that are on record, so that no work is planned twice."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap.processing.days.waits import ROLE
from lawnmap.processing.records import recorded
from lawnmap.schema import DO, DONE, PRICING

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

    Notes
    -----
    The first row on record of an operation on a zone is the first such step of the plan there, and
    so on. Amounts stay those that were planned: what was used is in the record.
    """
    left = []
    days: dict[tuple[str, str], list[str]] = defaultdict(list)
    rows = list(record)
    wanted = _wanted(steps)
    for row in rows:
        what = (row.get("zone_id", ""), row.get("operation", ""))
        fresh = since is None or dt.date.fromisoformat(row["date"]) >= since
        if fresh and len(days[what]) < wanted.get(what, 0):
            days[what].append(row["date"])
        else:
            left.append(row)
    status, day = steps["status"].to_list(), steps["day"].to_list()
    for place, cells in enumerate(zip(steps["zone_id"], steps["operation"], status, strict=True)):
        zone, operation, live = cells
        if live in (DO, PRICING) and days[str(zone), str(operation)]:
            status[place], day[place] = DONE, days[str(zone), str(operation)].pop(0)
    return Marked(steps.assign(status=status, day=day), tuple(left))


def _wanted(steps: pd.DataFrame) -> dict[tuple[str, str], int]:
    live = steps[steps["status"].isin([DO, PRICING])]
    counted: Any = live.groupby(["zone_id", "operation"]).size()
    return {(str(zone), str(operation)): int(n) for (zone, operation), n in counted.items()}


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
