"""The step ``choose``: the judgement on each zone, before any quantity."""

from __future__ import annotations

import geopandas as gpd
import numpy as np

from lawnmap.agronomy import moss as moss_formulas
from lawnmap.model import Specification
from lawnmap.processing.iron.iron_place import iron_place
from lawnmap.processing.iron.label_card import first_day, iron_card
from lawnmap.processing.judgement import condition, setting
from lawnmap.processing.judgement.blades import blades
from lawnmap.processing.judgement.causes import causes
from lawnmap.processing.judgement.condition import Band, Texts
from lawnmap.processing.judgement.deep_thatch import ways_out
from lawnmap.processing.judgement.hidden import hidden
from lawnmap.processing.judgement.seed_for import seed_for
from lawnmap.processing.judgement.verdicts import WORK, extent, verdicts
from lawnmap.processing.judgement.weighing import Effort
from lawnmap.reference import tables


def choose(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
    effort: Effort | None = None,
) -> gpd.GeoDataFrame:
    """Add the columns of the step ``choose`` in the schema.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the steps ``measure`` and ``strips``.
    features : GeoDataFrame
        Everything else on the site: cores, ways in, hidden things.
    specification : Specification
        With the day of the plan under ``today``.
    effort : callable or None
        Hours of the passes with a machine, for weighing those to hand against each other. Without
        it the size of the ground alone decides.
    """
    turf = condition.turf_types(zones, specification)
    moss = condition.moss(zones, features)
    thatch = condition.thatch(zones, features, turf)
    verdict, verdict_rule = verdicts(zones, moss, thatch, turf, specification)
    worked = np.isin(verdict, WORK)
    passes = setting.passes(zones, moss, thatch, turf, worked)
    words, hidden_mm = hidden(zones, features)
    mossy = (extent(moss) != "none") | (moss.high > 0)
    why = causes(zones, turf, mossy, first_day(specification))
    ways, ways_rule = ways_out(zones, thatch, turf)
    mixture, seed_rule = seed_for(zones, turf, specification)
    judged = zones.assign(
        moss_low_pct=moss.low,
        moss_high_pct=moss.high,
        moss_class=condition.moss_words(moss),
        moss_from=moss.rests_on,
        thatch_low_mm=thatch.low,
        thatch_high_mm=np.where(np.isinf(thatch.high), np.nan, thatch.high),
        thatch_class=condition.thatch_words(thatch, turf),
        thatch_from=thatch.rests_on,
        deep_mat=condition.deep_mat(zones["moss_depth_mm"].to_numpy(dtype=float)),
        verdict=verdict,
        verdict_rule=verdict_rule,
        causes=why.causes,
        stop_it=why.stop_it,
        stop_it_rules=why.rules,
        ways_out=ways,
        ways_rule=ways_rule,
        seed_mixture=mixture,
        seed_rule=seed_rule,
        hidden=words,
        hidden_mm=hidden_mm,
        arisings=np.where(worked, setting.arisings(moss, thatch, turf), "").astype(object),
    )
    light = setting.lightly(passes, specification)
    bladed = _with_blades(judged, features, specification, light, effort)
    return _with_bare_ground(_with_iron(bladed, moss, turf, specification), moss)


def _with_blades(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
    asked: setting.Passes,
    effort: Effort | None,
) -> gpd.GeoDataFrame:
    """Add the blades, and how they are set: passes, depth and crossing."""
    turf = condition.turf_types(zones, specification)
    chosen = blades(zones, features, specification, asked.most, effort)
    passes = setting.by_yield(asked, chosen.share)
    depth = setting.depth(zones, turf, chosen.kind, zones["hidden_mm"].to_numpy(dtype=float))
    crossing, crossing_rule = setting.crossing(zones, turf, passes.most)
    return zones.assign(
        blades=chosen.name,
        blades_kind=chosen.kind,
        blades_rule=chosen.rule,
        blades_others=chosen.others,
        blades_weighed=chosen.weighed,
        passes=passes.most,
        passes_rule=passes.rule,
        depth_low_mm=depth.low,
        depth_high_mm=depth.high,
        depth_rule=depth.rule,
        crossing=crossing,
        crossing_rule=crossing_rule,
    )


def _with_iron(
    zones: gpd.GeoDataFrame, moss: Band, turf: Texts, specification: Specification
) -> gpd.GeoDataFrame:
    card = iron_card(specification)
    place = iron_place(zones, moss, turf, card, specification)
    going = place.status != ""
    return zones.assign(
        iron_order=place.order,
        iron_rule=place.rule,
        iron_status=place.status,
        iron_form=np.where(going, card.form, "").astype(object),
        iron_product=np.where(going, card.product.name if card.product else "", "").astype(object),
        iron_machine=np.where(going, card.machine.name if card.machine else "", "").astype(object),
        iron_extent=place.extent,
        iron_doses=place.doses,
    )


def _with_bare_ground(zones: gpd.GeoDataFrame, moss: Band) -> gpd.GeoDataFrame:
    """Add what will be bare once the moss is out; untouched zones stay as they are."""
    before = zones["bare_pct"].to_numpy(dtype=float)
    low, high = moss_formulas.bare_after(
        np.nan_to_num(moss.low),
        np.nan_to_num(moss.high),
        before,
        share_low=tables.value("moss_removed_share").number,
        share_high=tables.value("moss_removed_share_most").number,
    )
    bladed = zones["blades"].to_numpy(dtype=object) != ""
    return zones.assign(
        bare_after_low_pct=np.where(bladed, low, before),
        bare_after_high_pct=np.where(bladed, high, before),
    )
