"""The step ``applied``: what was planned against what the record says was done."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pandas as pd

from lawnmap.files.numbers import number
from lawnmap.processing.records.recorded import Row, live
from lawnmap.schema import DO, NO_WORK, PRICING

COLUMNS = {
    "zone_id": "object", "operation": "object", "status": "object",
    "planned_times": "float64", "planned_low": "float64", "planned": "float64", "unit": "object",
    "planned_area_m2": "float64",
    "applied_times": "float64", "applied": "float64", "applied_area_m2": "float64",
    "days": "object", "difference": "float64",
}  # fmt: skip
SMALL = {"g": ("g", 1.0), "kg": ("g", 1e3), "ml": ("ml", 1.0), "l": ("ml", 1e3), "m³": ("ml", 1e6)}
NAN = float("nan")
Key = tuple[str, str]


def applied(
    steps: Iterable[Mapping[str, Any]], record: Iterable[Row], *, issued_id: str, since: dt.date
) -> pd.DataFrame:
    """Return one row a zone and operation that was planned or recorded.

    Parameters
    ----------
    steps : iterable of mapping
        Rows of the table ``steps`` of an issued plan. Those that were not to be done count only
        when they were done all the same.
    record : iterable of mapping
        Rows of ``record.csv``; what was taken back is left out.
    issued_id : str
        Id of that plan. A row that names it belongs to it.
    since : date
        The day of issue: so does every row from then on that names no plan.

    Returns
    -------
    DataFrame
        With COLUMNS, in the order of the plan; what was not planned stands behind. ``difference``
        is what was applied less what was planned at most, or at least when it was less than that;
        0 within, and NaN where either has no amount.
    """
    planned = _by_zone(each for each in steps if each.get("operation") not in NO_WORK)
    done = _by_zone(_of_plan(live(record), issued_id, since))
    rows = []
    for key in dict.fromkeys([*planned, *done]):
        wanted = [each for each in planned.get(key, []) if each.get("status") in (DO, PRICING)]
        found = done.get(key, [])
        if wanted or found:
            said = str(planned[key][0].get("status", "")) if key in planned else ""
            rows.append((*key, *_row(said, wanted, found)))
    return pd.DataFrame(rows, columns=list(COLUMNS)).astype(COLUMNS)


def _of_plan(rows: Iterable[Row], issued_id: str, since: dt.date) -> list[Row]:
    def belongs(row: Row) -> bool:
        named = row.get("issued_id", "")
        return named == issued_id if named else row.get("date", "") >= since.isoformat()

    return [row for row in rows if belongs(row)]


def _by_zone(rows: Iterable[Mapping[str, Any]]) -> dict[Key, list[Mapping[str, Any]]]:
    found: dict[Key, list[Mapping[str, Any]]] = {}
    for row in rows:
        found.setdefault((str(row.get("zone_id")), str(row.get("operation"))), []).append(row)
    return found


def _row(
    status: str, wanted: Sequence[Mapping[str, Any]], found: Sequence[Mapping[str, Any]]
) -> tuple[Any, ...]:
    unit = next((str(each.get("unit")) for each in [*wanted, *found] if each.get("unit")), "")
    low, high = (_sum(wanted, name, unit) for name in ("amount_low", "amount"))
    low = high if math.isnan(low) else low
    used = _sum(found, "amount", unit)
    # A repeat goes over the same ground again, so the area is that of one time.
    areas = [_figure(each, "area_m2") for each in wanted]
    days = sorted(each.get("date", "") for each in found)
    difference = NAN
    if wanted:
        difference = used - high if used > high else min(used - low, 0.0)
    return (
        status, float(len(wanted)), low, high, unit, max(areas, default=NAN),
        float(len(found)), used, _sum(found, "area_m2"), " ".join(days), difference,
    )  # fmt: skip


def _figure(row: Mapping[str, Any], name: str) -> float:
    """Return a cell as a number; NaN when it is empty or none."""
    cell = row.get(name)
    try:
        return number(cell) if isinstance(cell, str) else float(NAN if cell is None else cell)
    except (ValueError, TypeError):
        return NAN


def _sum(rows: Sequence[Mapping[str, Any]], name: str, unit: str = "") -> float:
    """Return a sum, NaN when a part of it is not known or is in a unit of another kind."""
    total = 0.0 if rows else NAN
    for row in rows:
        factor = 1.0
        if unit and str(row.get("unit")) != unit:
            (kind, times), (wanted, by) = (
                SMALL.get(each, (each, 1.0)) for each in (str(row.get("unit")), unit)
            )
            factor = times / by if kind == wanted else NAN
        total += factor * _figure(row, name)
    return total
