"""Whether iron goes on a zone, where in the order of work, on how much of it and how often."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.agronomy import moss as formulas
from lawnmap.model import Specification
from lawnmap.processing.iron.label_card import OPERATION, Card, first_day
from lawnmap.processing.judgement.bands import Floats
from lawnmap.processing.judgement.cases import (
    Codes,
    Mask,
    by_choice,
    by_value,
    first,
    is_word,
    offered,
    said,
)
from lawnmap.processing.judgement.causes import days_since
from lawnmap.processing.judgement.condition import NO_MOSS, Condition, deep_mat
from lawnmap.processing.judgement.verdicts import Verdicts
from lawnmap.processing.setting_out.legal import STRIP_NOT_SET
from lawnmap.schema import LATER, NOT_ALLOWED, NOT_SET

STRICTNESS = ("allowed", "last resort", "not on this site")
BEFORE, AFTER, NONE = "before blades", "after blades", "none"
AFTER_KINDS = ("petrol", "tractor")


class IronPlace(NamedTuple):
    """Columns of the zones on iron, by name without ``iron_``."""

    order: pd.Categorical
    rule: pd.Categorical
    status: pd.Categorical
    extent: pd.Categorical
    doses: Floats


def iron_place(
    zones: gpd.GeoDataFrame,
    condition: Condition,
    verdict: Verdicts,
    card: Card,
    specification: Specification,
    *,
    blades_kind: pd.Categorical,
) -> IronPlace:
    """Return the place of iron in each zone.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``strips``.
    condition : Condition
    verdict : Verdicts
    card : Card
    specification : Specification
    blades_kind : Categorical
    """
    permit, operation = _permit(zones, specification), OPERATION.get(card.form, "")
    unwanted = [
        (~verdict.worked, ""),  # the rule of the verdict
        (condition.extent == NO_MOSS, "iron_none_little_moss"),
        (deep_mat(zones["moss_depth_mm"].to_numpy(dtype=float)), "iron_none_deep_mat"),
        (permit == STRICTNESS.index("not on this site"), "iron_none_site"),
        (permit == STRICTNESS.index("last resort"), "iron_last_resort"),
        (~offered(specification, operation, zones.index), "iron_none_operation"),
    ]
    stopped = _stopped(zones, condition, card, specification)
    after = blades_kind.isin(AFTER_KINDS)
    masks = [*(mask for mask, _ in unwanted), *(mask for mask, _, _ in stopped)]
    rules = [*(rule for _, rule in unwanted), *(rule for _, rule, _ in stopped)]
    case = first([*masks, np.array(card.product is None), after], len(zones))
    rules += [card.rule, "iron_after_petrol", "iron_before"]
    wanted, going = case >= len(unwanted), case >= len(masks)
    rule = np.where(case == 0, len(rules) + verdict.rule.codes, case)
    statuses = [*("" for _ in unwanted), *(status for _, _, status in stopped)]
    status = np.minimum(case, len(statuses))
    return IronPlace(
        order=said(first([~going, after], len(zones)), [NONE, AFTER, BEFORE]),
        rule=said(rule, [*rules, *verdict.rule.categories]),
        status=said(status, [*statuses, card.status]),
        extent=said(np.where(wanted, condition.extent, NO_MOSS), formulas.EXTENTS),
        doses=np.where(going, _doses(condition, card), 0.0),
    )


def _stopped(
    zones: gpd.GeoDataFrame, condition: Condition, card: Card, specification: Specification
) -> list[tuple[Mask, str, str]]:
    """Return what stands in the way of iron that is wanted: where, rule and status."""
    no_sand = condition.turf.of(lambda each: not each.lawn_sand)
    sand = card.form in ("lawn sand", "granule")
    not_set = is_word(zones["water_strip_from"], STRIP_NOT_SET)
    return [
        (np.array(specification.choice("postponed") == "iron"), "programme_later_iron", LATER),
        (np.array(card.status in (NOT_SET, NOT_ALLOWED)), card.rule, card.status),
        (no_sand & sand, "sand_not_on_square", NOT_ALLOWED),
        (_too_new(zones, card, first_day(specification)), "iron_none_new_turf", NOT_SET),
        (not_set, "not_set_water_strip", NOT_SET),
    ]


def _permit(zones: gpd.GeoDataFrame, specification: Specification) -> Codes:
    """Return how strictly iron is allowed: of the zone's fact and the choice, the stricter."""

    def strict(word: str | None) -> int:
        return STRICTNESS.index(word) if word in STRICTNESS else 0

    chosen = by_choice(specification, "iron", zones.index, strict)
    return np.asarray(np.maximum(by_value(zones["iron"], strict, 0), chosen))


def _too_new(zones: gpd.GeoDataFrame, card: Card, day: dt.date) -> Mask:
    """Return where grass was sown and the label does not say that it is old enough."""
    limit = card.product.seed_to_iron_days if card.product else None
    least = np.inf if limit is None else float(limit)
    return np.asarray(days_since(zones["sown_last"], day) < least)


def _doses(condition: Condition, card: Card) -> Floats:
    """Return the applications: moss asks, the label limits, more than one only with its wait."""
    asked = condition.moss.classes.of(lambda each: each.applications or 0, 0)
    label = card.product
    most = label.most_doses_a_year if label and label.least_days_between is not None else None
    return formulas.doses(asked, most_a_year=most)
