"""What was planned against what was done, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import pandas as pd

Row = Mapping[str, Any] | pd.Series
CLOSE = 0.005  # what would be shown as 0 %


def sentence(row: Row) -> str:
    """Return one row of what was applied in words, without its zone.

    Examples
    --------
    >>> sentence({"planned_times": 1, "planned": math.nan, "applied_times": 0})
    'planned, not recorded'
    """
    planned = _planned(row)
    if not row["applied_times"]:
        return f"{planned}, not recorded"
    times = int(row["applied_times"])
    used = "" if math.isnan(row["applied"]) else f" with {_shown(row['applied'])} {row['unit']}"
    many = "" if times == 1 else f"{times} times, "
    days = ", ".join(row["days"].split())
    done = f"recorded {many}on {days}{used}{_ground(row['applied_area_m2'])}"
    return f"{planned}; {done}{_off(row)}"


def _planned(row: Row) -> str:
    if not row["planned_times"]:
        return f"not planned ({row['status']})" if row["status"] else "not planned"
    if math.isnan(row["planned"]):
        return "planned"
    low, high = row["planned_low"], row["planned"]
    span = _shown(high) if _shown(low) == _shown(high) else f"{_shown(low)} to {_shown(high)}"
    times = int(row["planned_times"])
    many = "" if times == 1 else f" in {times} applications"
    return f"planned {span} {row['unit']}{_ground(row['planned_area_m2'])}{many}"


def _ground(area_m2: float) -> str:
    return "" if math.isnan(area_m2) else f" on {_shown(area_m2)} m²"


def _off(row: Row) -> str:
    """Return how far off the plan an amount was; empty where that cannot be told."""
    off = row["difference"]
    if math.isnan(off):
        return ""
    edge = row["planned"] if off > 0 else row["planned_low"]
    if abs(off) <= CLOSE * edge:
        return ": as planned"
    way, bound = ("more", "most") if off > 0 else ("less", "least")
    at = "" if _shown(row["planned_low"]) == _shown(row["planned"]) else f" at {bound}"
    share = f" ({100 * abs(off) / edge:.0f} %)" if edge > 0 else ""
    return f": {_shown(abs(off))} {row['unit']}{share} {way} than planned{at}"


def _shown(value: float) -> str:
    return f"{value:,.1f}".removesuffix(".0")
