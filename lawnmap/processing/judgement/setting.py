"""How the blades are set: most passes, how deep, and how the second pass crosses the first."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import numpy as np

from lawnmap.agronomy import thatch as formulas
from lawnmap.model import Specification
from lawnmap.processing.judgement.condition import (
    Band,
    Floats,
    Mask,
    Texts,
    moss_classes,
    thatch_classes,
    thatch_states,
)
from lawnmap.reference import tables
from lawnmap.reference.rows import RatingClass

WORDS = {
    "crossing_one_way": "one direction only",
    "crossing_acute": "both passes across the face, at an acute angle to each other",
    "crossing_right_angle": "second pass at right angles to the first",
    "crossing_same": "again along the same lines",
    "crossing_thin": "second pass at an acute angle to the first",
}
# The rule that says a depth from each value of the turf table.
DEPTH_RULE = {
    "depth_lawn_mm": "depth_by_turf",
    "depth_fine_mm": "depth_fine",
    "depth_square_mm": "depth_square",
}


class Passes(NamedTuple):
    """Most passes over each zone, and the rule behind them."""

    most: Floats
    rule: Texts


class Depth(NamedTuple):
    """Setting to start at and to come down to [mm]; NaN for a rake, which has none."""

    low: Floats
    high: Floats
    rule: Texts


def passes(
    zones: gpd.GeoDataFrame, moss: Band, thatch: Band, turf_type: Texts, worked: Mask
) -> Passes:
    """Return the most passes: what the worse of moss and thatch asks, one fewer on weak grass."""
    by_moss = _most(moss_classes(moss))
    by_thatch = _most(thatch_classes(thatch, turf_type))
    states = thatch_states(thatch, turf_type)
    most = np.where(worked, formulas.passes(by_thatch, by_moss, states, weak=tender(zones)), 0.0)
    rule = np.select(
        [most == 0, by_thatch >= by_moss], ["passes_none", "passes_by_thatch"], "passes_by_moss"
    )
    return Passes(most, rule.astype(object))


def lightly(found: Passes, specification: Specification) -> Passes:
    """Return one pass at most where a programme leaves the renovation for a later season."""
    fewer = (found.most > 1) & bool(specification.choice("blades_light"))
    rule = np.where(fewer, "passes_light_spring", found.rule).astype(object)
    return Passes(np.where(fewer, 1.0, found.most), rule)


def by_yield(found: Passes, share: Floats) -> Passes:
    """Return the passes of a rake that lifts only a share of what a scarifying rake does."""
    more = (found.most > 0) & (share < 1)
    most = np.where(more, np.rint(found.most / share), found.most)
    return Passes(most, np.where(more, "passes_spring_tine", found.rule).astype(object))


def depth(zones: gpd.GeoDataFrame, turf_type: Texts, kind: Texts, hidden_mm: Floats) -> Depth:
    """Return the depth for the turf type, above half the depth of what lies hidden."""
    turfs = [tables.turf(each) for each in turf_type]
    start = np.array([tables.value(each.depth).low for each in turfs], dtype=float)
    most = np.array([tables.value(each.depth).high for each in turfs], dtype=float)
    # Blades cannot stay above a wire that lies on top: there they are lifted instead.
    below = np.where(hidden_mm / 2 < start, np.nan, hidden_mm)
    low, high = formulas.depth_range(start, most, weak=weak(zones), hidden_mm=below)
    bladed = (kind != "") & (kind != "rake")
    shallow = most > hidden_mm / 2
    rule = np.select(
        [kind == "", ~bladed, shallow, weak(zones)],
        ["", "depth_by_rake", "depth_hidden", "depth_weak"],
        np.array([DEPTH_RULE[each.depth] for each in turfs], dtype=object),
    )
    return Depth(np.where(bladed, low, np.nan), np.where(bladed, high, np.nan), rule.astype(object))


def crossing(zones: gpd.GeoDataFrame, turf_type: Texts, most: Floats) -> tuple[Texts, Texts]:
    """Return the direction of the second pass in words, and the rule behind it.

    The same lines are gentlest, right angles hardest, an acute angle lies between.
    """
    slope = zones["slope_deg"].to_numpy(dtype=float)
    one_way = np.array([tables.turf(each).crossing == "one way" for each in turf_type], dtype=bool)
    rule = np.select(
        [
            most == 0,
            one_way,
            most == 1,
            slope > tables.value("level_up_to_deg").number,
            tender(zones),
            zones["bare_pct"].to_numpy(dtype=float) >= tables.value("thin_sward_pct").number,
        ],
        [
            "",
            "crossing_one_way",
            "crossing_single",
            "crossing_acute",
            "crossing_same",
            "crossing_thin",
        ],
        "crossing_right_angle",
    ).astype(object)
    return np.array([WORDS.get(each, "") for each in rule], dtype=object), rule


def weak(zones: gpd.GeoDataFrame) -> Mask:
    """Return where grass comes up when it is pulled by hand."""
    return np.asarray(zones["tug_test"].to_numpy(dtype=object) == "comes up", dtype=bool)


def tender(zones: gpd.GeoDataFrame) -> Mask:
    """Return where grass is weak or too shaded to be handled hard."""
    sun = zones["sun_used_h"].to_numpy(dtype=float)
    return np.asarray(weak(zones) | (sun < tables.value("sun_vigorous_h").number), dtype=bool)


def arisings(moss: Band, thatch: Band, turf_type: Texts) -> Texts:
    """Return the reference value for what comes off: that of the worse of moss and thatch."""
    order = ("", "arisings_light_l_m2", "arisings_middling_l_m2", "arisings_heavy_l_m2")
    found = []
    for pair in zip(moss_classes(moss), thatch_classes(thatch, turf_type), strict=True):
        ranks = [order.index(each.arisings) for each in pair if each]
        found.append(order[max(ranks, default=0)])
    return np.array(found, dtype=object)


def _most(classes: list[RatingClass | None]) -> Floats:
    return np.array([each.most_passes if each else 0 for each in classes], dtype=float)
