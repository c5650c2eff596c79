"""Slips of the hand in a piece of work: it is recorded as it was typed, and that is said."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence

from lawnmap.processing.records.record_row import WHOLE_ZONE
from lawnmap.processing.records.recorded import Row

LONG_AGO_DAYS = 366
IDS = ("record_id", "issued_id", "reply_id", "cancels")

ROUNDING = 1e-4  # an area is written with fewer digits than it has


def of_area(row: Row, how: Mapping[str, str], area_m2: float, sigma_m2: float) -> list[str]:
    """Return what is to be said of the area treated, held against that of the zone.

    Parameters
    ----------
    row : mapping
    how : mapping of str to str
        How its cells came about: see `record_row.Completed`.
    area_m2, sigma_m2 : float
        Ground area of the zone and its standard deviation [m²].
    """
    if how.get("area_m2") == WHOLE_ZONE and row.get("dose"):
        told = f"How much of {row['zone_id']} was treated was not said: it is taken as all of it, "
        if "amount" in how:
            return [f"{told}{area_m2:,.1f} m², and the amount from that. Say area= or amount=."]
        return [f"{told}{area_m2:,.1f} m². On less the dose was higher: say area=."]
    sigma = sigma_m2 if math.isfinite(sigma_m2) else 0.0
    if float(row.get("area_m2") or 0) > area_m2 * (1 + ROUNDING) + 2 * sigma:
        return [
            f"The area, {float(row['area_m2']):,.1f} m², is more than {row['zone_id']} has: "
            f"{area_m2:,.1f} ± {sigma:.1f} m²."
        ]
    return []


def of_day(row: Row, today: dt.date) -> list[str]:
    """Return what is to be said of its day and times."""
    ago = (today - dt.date.fromisoformat(row["date"])).days
    told = [] if ago < LONG_AGO_DAYS else [f"{row['date']} is {ago:,} days ago: look at the year."]
    start, end = row.get("start_time"), row.get("end_time")
    if start and end and end < start:
        told.append(f"It ended at {end}, before it began at {start}: past midnight, or mistyped?")
    return told


def twice(row: Row, others: Sequence[Row]) -> list[str]:
    """Return a line when the same stands in the record already, whatever ids it has."""
    mine = _said(row)
    for other in others:
        if _said(other) == mine:
            return [
                f"The same stands in the record already, as {other['record_id']}. If it was done "
                "only once, take one of the two back with --cancel."
            ]
    return []


def _said(row: Row) -> dict[str, str]:
    return {name: cell for name, cell in row.items() if cell and name not in IDS}
