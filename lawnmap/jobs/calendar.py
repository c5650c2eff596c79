"""What a plan starts from beside the ground, read from a site folder: see lawnmap.days.Calendar."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from typing import Any

from lawnmap.days import Calendar
from lawnmap.errors import InputRefused
from lawnmap.jobs.opening import Opened
from lawnmap.store import closed as closed_days
from lawnmap.store import issued, record, weather
from lawnmap.store.folder import Folder

Promised = dict[tuple[str, str, int], dt.date]


def calendar(opened: Opened) -> Calendar:
    """Return the calendar of a site; a plain site plan has nothing in it.

    Raises
    ------
    InputRefused, SiteDamaged
        When one of its files cannot be read.
    """
    if opened.folder is None:
        return Calendar()
    zone_ids = [str(each) for each in opened.site.zones.index]
    days = closed_days.read(opened.folder, zone_ids=zone_ids)
    promised, promised_in = _promised(opened.folder)
    return Calendar(
        record=record.read(opened.folder).rows,
        promised=promised,
        promised_in=promised_in,
        closed=days.closed,
        open_only=days.open_only,
        weather=weather.read(opened.folder),
    )


def _promised(folder: Folder) -> tuple[Promised, str]:
    """Return the days in the plan that was issued last, and its id.

    Plans issued before plans had days, and damaged ones, promise nothing.
    """
    for each in issued.listed(folder)[:1]:
        try:
            plan = each.read(issued.PLAN)
        except InputRefused:
            break
        if not each.holds(issued.PLAN):
            break
        return _days(plan.get("steps") if isinstance(plan, dict) else None), each.id
    return {}, ""


def _days(rows: Any) -> Promised:
    result: Promised = {}
    number: Counter[tuple[str, str]] = Counter()
    for row in rows if isinstance(rows, list) else []:
        if not isinstance(row, dict):
            continue
        key = (str(row.get("zone_id")), str(row.get("operation")))
        number[key] += 1
        try:
            result[(*key, number[key])] = dt.date.fromisoformat(str(row.get("day")))
        except ValueError:
            continue
    return result
