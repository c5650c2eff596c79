"""The condition of each zone, on which every judgement rests: turf, moss and thatch."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import numpy as np

from lawnmap.agronomy import moss as moss_formulas
from lawnmap.agronomy import thatch as thatch_formulas
from lawnmap.model import Specification
from lawnmap.processing.judgement import bands
from lawnmap.processing.judgement.bands import Band, Floats
from lawnmap.processing.judgement.cases import Codes, Mask, is_word
from lawnmap.processing.judgement.turf import Turfs, fine, turfs
from lawnmap.reference import tables

NO_MOSS = moss_formulas.EXTENTS.index("none")
TOO_DEEP = thatch_formulas.STATES.index("too deep")


class Condition(NamedTuple):
    """What was seen of each zone, as far as the work turns on it.

    Attributes
    ----------
    turf : Turfs
    fine : array of bool
        Turf whose thatch counts only when it was measured.
    moss, thatch : Band
    extent : array of int
        How much of the zone the moss asks to treat, as a place in EXTENTS.
    state : array of int
        What the thatch calls for by the limits of the turf type, as a place in STATES.
    weak : array of bool
        Grass that comes up when it is pulled by hand.
    tender : array of bool
        Grass that is weak or too shaded to be handled hard.
    """

    turf: Turfs
    fine: Mask
    moss: Band
    thatch: Band
    extent: Codes
    state: Codes
    weak: Mask
    tender: Mask


def condition(
    zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, specification: Specification
) -> Condition:
    """Return the condition of the zones."""
    turf = turfs(zones, specification)
    is_fine = fine(turf)
    moss = bands.moss(zones, features)
    thatch = bands.thatch(zones, features, is_fine)
    extent = moss_formulas.extent(
        moss.at,
        spot_from=tables.value("moss_spot_from_pct").number,
        whole_from=tables.value("moss_whole_from_pct").number,
    )
    state = thatch_formulas.state(
        thatch.at,
        act_mm=turf.of(lambda each: tables.value(each.act).number),
        staged_mm=turf.of(lambda each: tables.value(each.staged).number),
        too_deep_mm=turf.of(lambda each: tables.value(each.too_deep).number),
    )
    weak = is_word(zones["tug_test"], "comes up")
    sun = zones["sun_used_h"].to_numpy(dtype=float)
    tender = weak | (sun < tables.value("sun_vigorous_h").number)
    return Condition(turf, is_fine, moss, thatch, extent, state, weak, tender)


def deep_mat(moss_depth_mm: Floats) -> Mask:
    """Return whether the moss is a mat that iron would only burn the top of."""
    return np.asarray(moss_depth_mm >= tables.value("moss_deep_mat_mm").number)
