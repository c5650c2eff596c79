"""How the blades are set: most passes, how deep, and how the second pass crosses the first."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.agronomy import thatch as formulas
from lawnmap.model import Specification
from lawnmap.processing.judgement.bands import Floats
from lawnmap.processing.judgement.cases import Codes, Mask, first, said
from lawnmap.processing.judgement.condition import TOO_DEEP, Condition
from lawnmap.reference import tables

PASSES = (
    "passes_none",
    "passes_by_thatch",
    "passes_by_moss",
    "passes_light_spring",
    "passes_spring_tine",
)
LIGHT, TINES = PASSES.index("passes_light_spring"), PASSES.index("passes_spring_tine")
# The rule that says a depth from each value of the turf table.
DEPTH_RULE = {
    "depth_lawn_mm": "depth_by_turf",
    "depth_fine_mm": "depth_fine",
    "depth_square_mm": "depth_square",
}
# Rules of the second pass, and what it does; the same lines are gentlest, right angles hardest.
CROSSING = {
    "": "",
    "crossing_one_way": "one direction only",
    "crossing_single": "",
    "crossing_acute": "both passes across the face, at an acute angle to each other",
    "crossing_same": "again along the same lines",
    "crossing_thin": "second pass at an acute angle to the first",
    "crossing_right_angle": "second pass at right angles to the first",
}
ARISINGS = ("", "arisings_light_l_m2", "arisings_middling_l_m2", "arisings_heavy_l_m2")


class Passes(NamedTuple):
    """Most passes over each zone, and the rule behind them as a place in PASSES."""

    most: Floats
    rule: Codes


class Depth(NamedTuple):
    """Setting to start at and to come down to [mm]; NaN for a rake, which has none."""

    low: Floats
    high: Floats
    rule: pd.Categorical


def passes(condition: Condition, worked: Mask) -> Passes:
    """Return the most passes: what the worse of moss and thatch asks, one fewer on weak grass."""
    by_moss, by_thatch = (
        band.classes.of(lambda each: each.most_passes, 0)
        for band in (condition.moss, condition.thatch)
    )
    too_deep = condition.state == TOO_DEEP
    asked = formulas.passes(by_thatch, by_moss, too_deep=too_deep, weak=condition.tender)
    most = np.where(worked, asked, 0.0)
    return Passes(most, first([most == 0, by_thatch >= by_moss], len(most)))


def lightly(found: Passes, specification: Specification) -> Passes:
    """Return one pass at most where a programme leaves the renovation for a later season."""
    if not specification.choice("blades_light"):
        return found
    fewer = found.most > 1
    return Passes(np.where(fewer, 1.0, found.most), np.where(fewer, LIGHT, found.rule))


def by_yield(found: Passes, share: Floats) -> Passes:
    """Return the passes of a rake that lifts only a share of what a scarifying rake does."""
    more = (found.most > 0) & (share < 1)
    most = np.where(more, np.rint(found.most / share), found.most)
    return Passes(most, np.where(more, TINES, found.rule))


def depth(condition: Condition, kind: pd.Categorical, hidden_mm: Floats) -> Depth:
    """Return the depth for the turf type, above half the depth of what lies hidden."""
    turf, weak = condition.turf, condition.weak
    start = turf.of(lambda each: tables.value(each.depth).low)
    most = turf.of(lambda each: tables.value(each.depth).high)
    # Blades cannot stay above a wire that lies on top: there they are lifted instead.
    below = np.where(hidden_mm / 2 < start, np.nan, hidden_mm)
    low, high = formulas.depth_range(start, most, weak=weak, hidden_mm=below)
    bladed = (kind != "") & (kind != "rake")
    rules = ["", "depth_by_rake", "depth_hidden", "depth_weak"]
    case = first([kind == "", ~bladed, most > hidden_mm / 2, weak], len(kind))
    usual = len(rules) + turf.of(lambda each: list(DEPTH_RULE).index(each.depth))
    return Depth(
        np.where(bladed, low, np.nan),
        np.where(bladed, high, np.nan),
        said(np.where(case == len(rules), usual, case), [*rules, *DEPTH_RULE.values()]),
    )


def crossing(
    zones: gpd.GeoDataFrame, condition: Condition, most: Floats
) -> tuple[pd.Categorical, pd.Categorical]:
    """Return the direction of the second pass in words, and the rule behind it."""
    case = first(
        [
            most == 0,
            condition.turf.of(lambda each: each.crossing == "one way"),
            most == 1,
            zones["slope_deg"].to_numpy(dtype=float) > tables.value("level_up_to_deg").number,
            condition.tender,
            zones["bare_pct"].to_numpy(dtype=float) >= tables.value("thin_sward_pct").number,
        ],
        len(zones),
    )
    return said(case, list(CROSSING.values())), said(case, list(CROSSING))


def arisings(condition: Condition, worked: Mask) -> pd.Categorical:
    """Return the reference value for what comes off: that of the worse of moss and thatch."""
    moss, thatch = (
        band.classes.of(lambda each: ARISINGS.index(each.arisings), 0)
        for band in (condition.moss, condition.thatch)
    )
    return said(np.where(worked, np.maximum(moss, thatch), 0), ARISINGS)
