"""The step ``sampling``: how many cores each zone asks for, and what those there can say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from statistics import fmean, stdev
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.agronomy.sampling import mean_interval, samples_for_mean
from lawnmap.reference import tables

DTYPES = {column.name: column.dtype for column in schema.columns("sampling")}
SPORTS = ("sports pitch", "cricket square", "bowls/croquet/tennis")
TWO = 2  # cores have a spread, one has none
MOST = 200  # cores in one zone; who asks for more has asked for too narrow a margin


class Asked(NamedTuple):
    """What a person wants to know of the thatch.

    Attributes
    ----------
    within_mm : float or None
        Half-width wanted of the interval [mm]; None is a screening.
    level : float
        Confidence, between 0 and 1.
    spread_mm : float or None
        Standard deviation to reckon with [mm]; None takes that of a zone's own cores.
    """

    within_mm: float | None = None
    level: float = 0.95
    spread_mm: float | None = None


def sampling(
    zones: gpd.GeoDataFrame,
    taken: Mapping[str, Sequence[float]],
    turf_types: Mapping[str, str],
    asked: Asked,
) -> pd.DataFrame:
    """Return the table ``sampling`` of the schema.

    Parameters
    ----------
    zones : GeoDataFrame
        With ``ground_area_m2``.
    taken : mapping of str to sequence of float
        Thickness in every core of a zone [mm].
    turf_types : mapping of str to str
        By zone_id.
    asked : Asked
    """
    rows = [
        _row(str(zone_id), float(area), list(taken.get(str(zone_id), ())), turf_types, asked)
        for zone_id, area in zones["ground_area_m2"].items()
    ]
    return pd.DataFrame(rows, columns=list(DTYPES)).astype(DTYPES)


def screening(area_m2: float, turf_type: str) -> int:
    """Return how many plugs a first look takes: looked at and put back."""
    if turf_type in SPORTS:
        return int(tables.value("cores_sports").number)
    few = tables.value("cores_screening")
    large = area_m2 > tables.value("cores_more_above_m2").number
    return int((few.high if large else few.low) or few.number)


def _row(
    zone_id: str,
    area_m2: float,
    taken: list[float],
    turf_types: Mapping[str, str],
    asked: Asked,
) -> dict[str, Any]:
    own = stdev(taken) if len(taken) >= TWO else np.nan
    spread = own if asked.spread_mm is None else asked.spread_mm
    first = screening(area_m2, turf_types.get(zone_id, ""))
    row: dict[str, Any] = {
        "zone_id": zone_id,
        "ground_area_m2": area_m2,
        "taken": len(taken),
        "spread_mm": spread,
        "says": _says(taken, asked.level),
    }
    if taken:
        row["mean_mm"] = fmean(taken)
    if len(taken) >= TWO:
        _, low, high = mean_interval(taken, asked.level)
        row |= {"low_mm": max(low, 0.0), "high_mm": high}
    row |= _wanted(first, spread, asked)
    return row | {"more": max(row["wanted"] - len(taken), 0)}


def _wanted(first: int, spread: float, asked: Asked) -> dict[str, Any]:
    """Return how many cores in all, and the rule with what is said of it."""
    if asked.within_mm is None:
        return {"wanted": first, "rule": "cores_screening", "remark": ""}
    sought = f"the mean within {asked.within_mm:g} mm at {asked.level * 100:g} %"
    if np.isnan(spread):  # nobody knows how the cores differ
        said = f"To find {sought} the spread must be known: take these first, or give --spread."
        return {"wanted": first, "rule": "cores_screening", "remark": said}
    number = max(samples_for_mean(spread, asked.within_mm, asked.level), TWO)
    if number > MOST:
        said = f"To find {sought} would take {number:,} cores: ask for a wider margin."
        return {"wanted": first, "rule": "cores_screening", "remark": said}
    said = f"So many find {sought}, with a spread of {spread:.2g} mm."
    return {"wanted": number, "rule": "cores_for_margin", "remark": said}


def _says(taken: Sequence[float], level: float) -> str:
    """Return what the cores there can say, and no more."""
    if not taken:
        return "no core yet"
    if len(taken) < TWO:
        return f"one core of {taken[0]:g} mm: it does not say how the zone varies"
    mean, low, high = mean_interval(taken, level)
    return f"mean {mean:.0f} mm, could be {max(low, 0):.0f} to {high:.0f} ({len(taken)} cores)"
