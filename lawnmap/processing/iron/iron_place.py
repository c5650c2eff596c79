"""Whether iron goes on a zone, where in the order of work, on how much of it and how often."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.agronomy import moss as formulas
from lawnmap.model import Specification
from lawnmap.processing.iron.label_card import OPERATION, Card, first_day
from lawnmap.processing.judgement.causes import since
from lawnmap.processing.judgement.condition import Band, Mask, Texts, moss_classes
from lawnmap.processing.judgement.verdicts import WORK, extent
from lawnmap.processing.setting_out.legal import STRIP_NOT_SET
from lawnmap.reference import tables
from lawnmap.schema import LATER, NOT_ALLOWED, NOT_SET

STRICTNESS = ("allowed", "last resort", "not on this site")
BEFORE, AFTER, NONE = "before blades", "after blades", "none"
AFTER_KINDS = ("petrol", "tractor")


class IronPlace(NamedTuple):
    """Columns of the zones on iron, by name without ``iron_``."""

    order: Texts
    rule: Texts
    status: Texts
    extent: Texts
    doses: npt.NDArray[np.float64]


def iron_place(
    zones: gpd.GeoDataFrame, moss: Band, turf_type: Texts, card: Card, specification: Specification
) -> IronPlace:
    """Return the place of iron in each zone.

    Parameters
    ----------
    zones : GeoDataFrame
        With verdict, verdict_rule, deep_mat, blades_kind and the columns of the step ``strips``.
    moss : Band
    turf_type : array of str
    card : Card
    specification : Specification
    """
    cover = extent(moss).astype(object)
    permit = _permit(zones, specification)
    no_sand = np.array([not tables.turf(each).lawn_sand for each in turf_type], dtype=bool)
    none_wanted = [
        (~zones["verdict"].isin(WORK).to_numpy(), zones["verdict_rule"].to_numpy(dtype=object)),
        (cover == "none", "iron_none_little_moss"),
        (zones["deep_mat"].to_numpy(dtype=bool), "iron_none_deep_mat"),
        (permit == STRICTNESS.index("not on this site"), "iron_none_site"),
        (permit == STRICTNESS.index("last resort"), "iron_last_resort"),
        (~_offered(zones, card, specification), "iron_none_operation"),
    ]
    postponed = specification.choice("postponed") == "iron"
    blocked = [
        (np.full(len(zones), postponed), "programme_later_iron", LATER),
        (np.full(len(zones), card.status in (NOT_SET, NOT_ALLOWED)), card.rule, card.status),
        (no_sand & (card.form in ("lawn sand", "granule")), "sand_not_on_square", NOT_ALLOWED),
        (_too_new(zones, card, first_day(specification)), "iron_none_new_turf", NOT_SET),
        (_no_strip(zones), "not_set_water_strip", NOT_SET),
    ]
    after = zones["blades_kind"].isin(AFTER_KINDS).to_numpy()
    no_card = np.full(len(zones), card.product is None)
    unwanted = [mask for mask, _ in none_wanted]
    stopped = [mask for mask, _, _ in blocked]
    rule = np.select(
        [*unwanted, *stopped, no_card, after],
        [
            *(name for _, name in none_wanted),
            *(name for _, name, _ in blocked),
            card.rule,
            "iron_after_petrol",
        ],
        "iron_before",
    )
    wanted = ~np.any(unwanted, axis=0)
    going = wanted & ~np.any(stopped, axis=0)
    return IronPlace(
        order=np.select([~going, after], [NONE, AFTER], BEFORE).astype(object),
        rule=rule.astype(object),
        status=np.select([~wanted, *stopped], ["", *(each for _, _, each in blocked)], card.status)
        .astype(object),
        extent=np.where(wanted, cover, "none").astype(object),
        doses=np.where(going, _doses(moss, card), 0.0),
    )  # fmt: skip


def _permit(zones: gpd.GeoDataFrame, specification: Specification) -> npt.NDArray[np.int64]:
    """Return how strictly iron is allowed: of the zone's fact and the choice, the stricter."""
    levels = []
    for zone_id, fact in zip(zones.index, zones["iron"], strict=True):
        said = (fact, specification.choice("iron", str(zone_id)))
        levels.append(
            max((STRICTNESS.index(each) for each in said if each in STRICTNESS), default=0)
        )
    return np.array(levels, dtype=np.int64)


def _offered(zones: gpd.GeoDataFrame, card: Card, specification: Specification) -> Mask:
    operation = OPERATION.get(card.form, "")
    return np.array(
        [
            operation in (specification.choice("operations", str(each)) or ())
            for each in zones.index
        ],
        dtype=bool,
    )


def _too_new(zones: gpd.GeoDataFrame, card: Card, day: dt.date) -> Mask:
    """Return where grass was sown and the label does not say that it is old enough."""
    limit = card.product.seed_to_iron_days if card.product else None
    age = np.array([since(each, day) for each in zones["sown_last"]], dtype=float)
    least = np.inf if limit is None else float(limit)
    return np.asarray(age < least)


def _no_strip(zones: gpd.GeoDataFrame) -> Mask:
    return np.asarray(zones["water_strip_from"].to_numpy(dtype=object) == STRIP_NOT_SET, dtype=bool)


def _doses(moss: Band, card: Card) -> npt.NDArray[np.float64]:
    """Return the applications: moss asks, the label limits, more than one only with its wait."""
    asked = [each.applications or 0 if each else 0 for each in moss_classes(moss)]
    label = card.product
    most = label.most_doses_a_year if label and label.least_days_between is not None else None
    return formulas.doses(asked, most_a_year=most)
