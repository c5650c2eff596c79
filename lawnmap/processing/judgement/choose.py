"""The step ``choose``: the judgement on each zone, before any quantity."""

from __future__ import annotations

from typing import Any

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.agronomy import moss as moss_formulas
from lawnmap.model import Specification
from lawnmap.processing.iron.iron_place import iron_place
from lawnmap.processing.iron.label_card import first_day, iron_card
from lawnmap.processing.judgement import setting
from lawnmap.processing.judgement.bands import RESTS_ON, Band, Floats
from lawnmap.processing.judgement.blades import Blades, blades
from lawnmap.processing.judgement.cases import Mask, said, text
from lawnmap.processing.judgement.causes import causes
from lawnmap.processing.judgement.condition import NO_MOSS, Condition, condition, deep_mat
from lawnmap.processing.judgement.deep_thatch import ways_out, ways_rule
from lawnmap.processing.judgement.hidden import hidden
from lawnmap.processing.judgement.seed_for import seed_for
from lawnmap.processing.judgement.verdicts import Verdicts, verdicts
from lawnmap.processing.judgement.weighing import Effort
from lawnmap.reference import tables

Columns = dict[str, Any]


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

    Returns
    -------
    GeoDataFrame
        Where no words are wanted, text is categories, and what only a reader needs is left out:
        causes, ways out, and the blades that come next.
    """
    seen = condition(zones, features, specification)
    verdict = verdicts(zones, seen, specification)
    judged = _judged(zones, features, seen, verdict, specification)
    light = setting.lightly(setting.passes(seen, verdict.worked), specification)
    # What is weighed goes by what comes off; size alone goes by what was measured.
    weighed = zones if effort is None else _with(zones, judged, specification)
    chosen = blades(weighed, features, specification, light.most, effort)
    return _with(
        zones,
        judged
        | _set(zones, seen, chosen, light, judged["hidden_mm"])
        | _iron(zones, seen, verdict, chosen, specification)
        | _bare_ground(zones, seen.moss, chosen),
        specification,
    )


def _with(
    zones: gpd.GeoDataFrame, columns: Columns, specification: Specification
) -> gpd.GeoDataFrame:
    """Return zones with columns beside their own: of a site with words written out."""
    if not specification.words:
        added = pd.DataFrame(columns, index=zones.index, copy=False)
        return pd.concat([zones, added], axis="columns")
    return zones.assign(
        **{
            name: text(column) if isinstance(column, pd.Categorical) else column
            for name, column in columns.items()
        }
    )


def _judged(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    seen: Condition,
    verdict: Verdicts,
    specification: Specification,
) -> Columns:
    """Return what is judged of each zone, whatever blades and iron there are."""
    moss, thatch = seen.moss, seen.thatch
    mixture, seed_rule = seed_for(zones, seen.turf, specification)
    what, hidden_mm = hidden(zones, features)
    return {
        "moss_low_pct": moss.low,
        "moss_high_pct": moss.high,
        "moss_class": moss.classes.words(),
        "moss_from": said(moss.rests_on, RESTS_ON),
        "thatch_low_mm": thatch.low,
        "thatch_high_mm": np.where(np.isinf(thatch.high), np.nan, thatch.high),
        "thatch_class": thatch.classes.words(),
        "thatch_from": said(thatch.rests_on, RESTS_ON),
        "deep_mat": deep_mat(zones["moss_depth_mm"].to_numpy(dtype=float)),
        "verdict": verdict.verdict,
        "verdict_rule": verdict.rule,
        **(_explained(zones, seen, specification) if specification.words else {}),
        "ways_rule": ways_rule(seen.state),
        "seed_mixture": mixture,
        "seed_rule": seed_rule,
        "hidden": what,
        "hidden_mm": hidden_mm,
        "arisings": setting.arisings(seen, verdict.worked),
    }


def _explained(zones: gpd.GeoDataFrame, seen: Condition, specification: Specification) -> Columns:
    """Return what the owner of a lawn reads beside the verdict: causes, remedies and ways out."""
    mossy = (seen.extent != NO_MOSS) | (seen.moss.high > 0)
    why = causes(zones, seen.fine, mossy, first_day(specification))
    return {
        "causes": why.causes,
        "stop_it": why.stop_it,
        "stop_it_rules": why.rules,
        "ways_out": ways_out(zones, seen.state),
    }


def _set(
    zones: gpd.GeoDataFrame,
    seen: Condition,
    chosen: Blades,
    asked: setting.Passes,
    hidden_mm: Floats,
) -> Columns:
    """Return the blades, and how they are set: passes, depth and crossing."""
    passes = setting.by_yield(asked, chosen.share)
    depth = setting.depth(seen, chosen.kind, hidden_mm)
    crossing, crossing_rule = setting.crossing(zones, seen, passes.most)
    return {
        "blades": chosen.name,
        "blades_kind": chosen.kind,
        "blades_rule": chosen.rule,
        **chosen.told,
        "passes": passes.most,
        "passes_rule": said(passes.rule, setting.PASSES),
        "depth_low_mm": depth.low,
        "depth_high_mm": depth.high,
        "depth_rule": depth.rule,
        "crossing": crossing,
        "crossing_rule": crossing_rule,
    }


def _iron(
    zones: gpd.GeoDataFrame,
    seen: Condition,
    verdict: Verdicts,
    chosen: Blades,
    specification: Specification,
) -> Columns:
    card = iron_card(specification)
    place = iron_place(zones, seen, verdict, card, specification, blades_kind=chosen.kind)
    going: Mask = place.status != ""

    def where_going(word: str) -> pd.Categorical:
        return said(going.astype(np.int8), ["", word])

    return {
        "iron_order": place.order,
        "iron_rule": place.rule,
        "iron_status": place.status,
        "iron_form": where_going(card.form),
        "iron_product": where_going(card.product.name if card.product else ""),
        "iron_machine": where_going(card.machine.name if card.machine else ""),
        "iron_extent": place.extent,
        "iron_doses": place.doses,
    }


def _bare_ground(zones: gpd.GeoDataFrame, moss: Band, chosen: Blades) -> Columns:
    """Return what will be bare once the moss is out; untouched zones stay as they are."""
    before = zones["bare_pct"].to_numpy(dtype=float)
    low, high = moss_formulas.bare_after(
        np.nan_to_num(moss.low),
        np.nan_to_num(moss.high),
        before,
        share_low=tables.value("moss_removed_share").number,
        share_high=tables.value("moss_removed_share_most").number,
    )
    bladed = chosen.name != ""
    return {
        "bare_after_low_pct": np.where(bladed, low, before),
        "bare_after_high_pct": np.where(bladed, high, before),
    }
