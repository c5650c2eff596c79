"""Days between the steps of work: the label's, else the reference intervals."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from lawnmap.model import Specification
from lawnmap.reference import tables

# What each operation counts as in the table of intervals.
ROLE = {
    "mowing": "mowing",
    "iron_liquid": "iron",
    "iron_soluble": "iron",
    "lawn_sand": "iron",
    "raking": "blades",
    "scarifying": "blades",
    "clearing": "clearing",
    "aerating": "aerating",
    "overseeding": "seed",
    "top_dressing": "dressing",
    "feeding": "feed",
    "watering": "watering",
    "first_cut": "first cut",
}
# An application that is only made when the moss is still green: nothing is put off for it.
IF_NEEDED = "iron_repeat"
# The waits that a label card may set, and the key that sets each.
LABEL = {
    ("iron", "blades"): "iron_to_rake_days",
    ("iron", "seed"): "iron_to_seed_days",
    ("iron", "iron"): "least_days_between",
}


COLUMNS = ["zone_id", "operation", "status", "product", "rule"]


def waits(
    table: pd.DataFrame, specification: Specification, *, live: tuple[str, ...]
) -> pd.DataFrame:
    """Fill ``wait_days``: days after the step before it, so that every earlier step is far enough.

    Parameters
    ----------
    table : DataFrame
        Steps zone by zone in the order of work.
    specification : Specification
        Holds the label cards.
    live : tuple of str
        The statuses that take place; nothing waits for the others.

    Returns
    -------
    DataFrame
    """
    result = np.full(len(table), np.nan)
    remarks = table["remark"].to_numpy(dtype=object).copy()
    days: list[tuple[int, dict[str, Any]]] = []
    zone, rows = "", table[COLUMNS].to_dict("records")
    for place, row in enumerate(rows):
        if row["zone_id"] != zone:
            zone, days = row["zone_id"], []
        if row["status"] not in live:
            continue
        before = days[-1][0] if days else 0
        day = max([before, *(at + wait(one, row, specification) for at, one in days)])
        result[place] = day - before if days else np.nan
        remarks[place] = _with_iron(remarks[place], row, [one for _, one in days], specification)
        if row["rule"] != IF_NEEDED:
            days.append((day, {str(key): value for key, value in row.items()}))
    return table.assign(wait_days=result, remark=remarks)


def wait(before: dict[str, Any], after: dict[Any, Any], specification: Specification) -> int:
    """Return the days from one step to a later one."""
    pair = (role(before), role(after))
    product = specification.products.get(before["product"])
    if pair in LABEL and product is not None:
        days = getattr(product, LABEL[pair])
        if days is not None:
            return int(days)
    interval = tables.intervals().get(pair)
    return 0 if interval is None else interval.usual_days or interval.least_days or 0


def most_days(before: dict[Any, Any], after: dict[Any, Any]) -> int | None:
    """Return the most days from one step to the one that follows it; None when nothing limits."""
    interval = tables.intervals().get((role(before), role(after)))
    return None if interval is None else interval.most_days


def role(row: dict[Any, Any]) -> str:
    """Return what the operation of a step counts as in the table of intervals."""
    return ROLE.get(row["operation"], str(row["operation"]))


def _with_iron(
    remark: str, row: dict[Any, Any], earlier: list[dict[str, Any]], specification: Specification
) -> str:
    """Say on a seed row how long it waits for iron, whatever lies between."""
    if role(row) != "seed":
        return remark
    iron = [wait(each, row, specification) for each in earlier if role(each) == "iron"]
    return f"not before {max(iron)} days after iron; {remark}" if iron else remark
