"""Likely causes of the moss, from what was seen: the most evident first."""

from __future__ import annotations

import datetime as dt
from typing import Any

import geopandas as gpd
import numpy as np

from lawnmap.processing.condition import Mask, Texts
from lawnmap.reference import tables

NONE_SEEN = "none seen yet: look at light, drainage, feed and height of cut first"
YEAR_DAYS = 365


def causes(zones: gpd.GeoDataFrame, mossy: Mask, today: dt.date) -> Texts:
    """Return the causes of moss in each zone in words; empty where there is no moss.

    Acidity counts only from a test of the soil, and nothing is said of what nobody looked at.
    """
    sun = zones["sun_hours_seen"].to_numpy(dtype=float)
    cut = zones["cut_height_mm"].to_numpy(dtype=float)
    acid = zones["soil_ph"].to_numpy(dtype=float)
    dark, dim = tables.value("sun_least_h").number, tables.value("sun_vigorous_h").number
    low_cut = tables.value("low_cut_mm").number
    evidence = [
        (sun < dark, [f"too little light ({each:g} h of direct sun a day)" for each in sun]),
        (_is(zones, "drainage", "stands wet"), "water stands"),
        (_is(zones, "compaction", "will not go in"), "packed hard"),
        ((sun >= dark) & (sun < dim), [f"shade ({each:g} h of direct sun a day)" for each in sun]),
        (cut < low_cut, [f"cut low ({each:g} mm)" for each in cut]),
        (
            acid < tables.value("soil_ph_target").low,
            [f"acid soil (pH {e:g} by a test)" for e in acid],
        ),
        (_is(zones, "drainage", "slow"), "slow drainage"),
        (_is(zones, "compaction", "hard"), "firm soil"),
        (_is(zones, "wear", "heavy"), "worn"),
        (_hungry(zones, today), "not fed for a year"),
    ]
    texts = [np.where(mask, said, "") for mask, said in evidence]
    return np.array(
        [
            "; ".join(part for part in parts if part) or NONE_SEEN if moss else ""
            for moss, *parts in zip(mossy, *texts, strict=True)
        ],
        dtype=object,
    )


def _is(zones: gpd.GeoDataFrame, column: str, word: str) -> Mask:
    return np.asarray(zones[column].to_numpy(dtype=object) == word, dtype=bool)


def _hungry(zones: gpd.GeoDataFrame, today: dt.date) -> Mask:
    return np.array([since(each, today) > YEAR_DAYS for each in zones["fed_last"]], dtype=bool)


def since(day: Any, today: dt.date) -> float:
    """Return the days since a date written as YYYY-MM-DD; NaN when there is none."""
    if not isinstance(day, str) or not day:
        return float("nan")
    return float((today - dt.date.fromisoformat(day)).days)
