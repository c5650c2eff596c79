"""Likely causes of the moss, from what was seen, and what would stop it coming back."""

from __future__ import annotations

import datetime as dt
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.processing.judgement.bands import Floats
from lawnmap.processing.judgement.cases import Mask, Texts, by_value, is_word
from lawnmap.reference import tables

NONE_SEEN = "none seen yet: look at light, drainage, feed and height of cut first"
UNSEEN, DARK = "stop_unseen", "stop_dark"
YEAR_DAYS = 365


class Seen(NamedTuple):
    """One cause: where it was seen, in words, and the rules of what stops it."""

    where: Mask
    said: Any
    rule: Any


class Causes(NamedTuple):
    """Texts for each zone; empty where there is no moss.

    Attributes
    ----------
    causes : array of str
        The most evident first.
    stop_it : array of str
        What would stop the moss coming back, in the same order.
    rules : array of str
        Ids of the rules of `stop_it`, separated by blanks.
    """

    causes: Texts
    stop_it: Texts
    rules: Texts


def causes(zones: gpd.GeoDataFrame, fine: Mask, mossy: Mask, today: dt.date) -> Causes:
    """Return the causes of moss in each zone and their remedies.

    Acidity counts only from a test of the soil, and nothing is said of what nobody looked at.
    """
    evidence = _evidence(zones, fine, today)
    rows = zones.drop(columns=zones.geometry.name).to_dict("records")
    told = [_of_zone(evidence, place, row) for place, row in enumerate(rows)]
    empty = ("", "", "")
    parts = [each if moss else empty for each, moss in zip(told, mossy, strict=True)]
    return Causes(*np.array(parts, dtype=object).reshape(-1, 3).T)


def _of_zone(evidence: list[Seen], place: int, row: dict[Any, Any]) -> tuple[str, str, str]:
    found = [each for each in evidence if each.where[place]]
    said = "; ".join(str(_at(each.said, place)) for each in found) or NONE_SEEN
    rules = list(dict.fromkeys(str(_at(each.rule, place)) for each in found)) or [UNSEEN]
    if DARK in rules:  # nothing else helps grass that has no light
        rules = [DARK]
    stop = " ".join(tables.sentence(rule, row) for rule in rules)
    return said, stop, " ".join(rules)


def _at(either: Any, place: int) -> Any:
    return either if isinstance(either, str) else either[place]


def _evidence(zones: gpd.GeoDataFrame, fine: Mask, today: dt.date) -> list[Seen]:
    """Return every cause that can be seen, the most evident first."""
    sun = zones["sun_used_h"].to_numpy(dtype=float)
    cut = zones["cut_height_mm"].to_numpy(dtype=float)
    acid = zones["soil_ph"].to_numpy(dtype=float)
    slope = zones["slope_deg"].to_numpy(dtype=float)
    dark, dim = tables.value("sun_least_h").number, tables.value("sun_vigorous_h").number
    bank = tables.value("across_slope_deg").number
    raised = np.where(fine, "stop_cut_game", "stop_cut")
    return [
        Seen(
            sun < dark, [f"too little light ({each:g} h of direct sun a day)" for each in sun], DARK
        ),
        Seen(is_word(zones["drainage"], "stands wet"), "water stands", "stop_wet"),
        Seen(is_word(zones["compaction"], "will not go in"), "packed hard", "stop_packed"),
        Seen(
            (sun >= dark) & (sun < dim),
            [f"shade ({each:g} h of direct sun a day)" for each in sun],
            "stop_light",
        ),
        Seen(
            cut < tables.value("low_cut_mm").number,
            [f"cut low ({each:g} mm)" for each in cut],
            raised,
        ),
        Seen(
            acid < tables.value("soil_ph_target").low,
            [f"acid soil (pH {each:g} by a test)" for each in acid],
            "stop_acid",
        ),
        Seen(is_word(zones["drainage"], "slow"), "slow drainage", "stop_wet"),
        Seen(is_word(zones["compaction"], "hard"), "firm soil", "stop_packed"),
        Seen(is_word(zones["wear"], "heavy"), "worn", "stop_worn"),
        Seen(_hungry(zones, today), "not fed for a year", "stop_hungry"),
        Seen(slope > bank, [f"a bank ({each:.0f}°)" for each in slope], "stop_slope"),
    ]


def _hungry(zones: gpd.GeoDataFrame, today: dt.date) -> Mask:
    return np.asarray(days_since(zones["fed_last"], today) > YEAR_DAYS)


def days_since(column: pd.Series, today: dt.date) -> Floats:
    """Return the days since dates written as YYYY-MM-DD; NaN where there is none."""
    return by_value(
        column, lambda day: float((today - dt.date.fromisoformat(day)).days), float("nan")
    )
