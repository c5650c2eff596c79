"""The step ``strips``: ground that may take iron, outside two kinds of strip never mixed.

The legal strip keeps iron from water and drains. It comes from the label, the law or a site rule,
and where nobody has set it nothing is applied. The workmanship strip keeps stains off paving; no
law sets it, and it has a default that the user may change.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.geometry import ellipsoid, slope, strip
from lawnmap.model import Specification
from lawnmap.processing.iron.label_card import Card, iron_card
from lawnmap.reference import tables

Shapes = npt.NDArray[np.object_]

NONE_MAPPED = "none mapped"
STRIP_NOT_SET = "not set"
LEGAL = ("water", "drain")
HARD = ("paving", "building")


class Width(NamedTuple):
    """Width of a legal strip [m] and who set it."""

    metres: float
    set_by: str


def strips(
    zones: gpd.GeoDataFrame,
    lawn: gpd.GeoSeries,
    features: gpd.GeoDataFrame,
    specification: Specification,
) -> tuple[gpd.GeoDataFrame, dict[str, gpd.GeoDataFrame]]:
    """Add both strips and the ground outside them to the zones.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``measure``.
    lawn : GeoSeries
        What of each zone is lawn, in the order of the zones.
    features : GeoDataFrame
    specification : Specification

    Returns
    -------
    zones : GeoDataFrame
        With the columns of the step ``strips``.
    layers : dict of str to GeoDataFrame
        ``iron area`` and ``untreated strip``, indexed by zone_id; zones with neither are left out.
        Empty when a strip that is needed is not set.
    """
    card = iron_card(specification)
    mapped = [kind for kind in LEGAL if (features["feature"] == kind).any()]
    widths = {kind: _legal(kind, card, specification) for kind in mapped}
    legal = _widest(widths.values())
    by_hand, hard = hand_strip_m(card, specification), _shapes(features, HARD)
    area = np.asarray(lawn.array, dtype=object)
    for kind, width in widths.items():
        area = strip.outside_strip(area, _shapes(features, (kind,)), width.metres)
    area = strip.outside_strip(area, hard, by_hand)
    on_slope = ellipsoid.areas(area) * slope.ground_factor(zones["slope_deg"].to_numpy(dtype=float))
    stopped = legal.set_by == STRIP_NOT_SET
    result = zones.assign(
        water_strip_m=np.nan if stopped else legal.metres,
        water_strip_from=legal.set_by,
        hand_strip_m=by_hand if len(hard) else 0.0,
        iron_area_m2=0.0 if stopped else np.minimum(on_slope, zones["ground_area_m2"].to_numpy()),
    )
    return result, {} if stopped else _layers(lawn, area)


def hand_strip_m(card: Card, specification: Specification) -> float:
    """Return the workmanship strip [m]: the user's, else the reach of what it is put on with."""
    own = ((specification.choice("strips") or {}).get("workmanship") or {}).get("paving_m")
    if own is not None:
        return float(own)
    least = tables.value("paving_strip_m").number
    if card.machine is not None and card.machine.kind == "spreader":
        return max(least, (card.machine.width_m or 0.0) / 2)
    return least


def _legal(kind: str, card: Card, specification: Specification) -> Width:
    """Return the widest strip that label, law or site rule sets; a label's holds for drains too."""
    rule = (specification.choice("strips") or {}).get("legal") or {}
    found = []
    if rule.get(f"{kind}_m") is not None:
        found.append(Width(float(rule[f"{kind}_m"]), str(rule.get("from") or "site rule")))
    if card.product is not None and card.product.untreated_strip_m is not None:
        found.append(Width(float(card.product.untreated_strip_m), "label"))
    return _widest(found) if found else Width(0.0, STRIP_NOT_SET)


def _widest(widths: Iterable[Width]) -> Width:
    """Return the widest of some strips; one that is not set stops them all."""
    found = list(widths)
    if any(each.set_by == STRIP_NOT_SET for each in found):
        return Width(0.0, STRIP_NOT_SET)
    return max(found, key=lambda each: each.metres, default=Width(0.0, NONE_MAPPED))


def _shapes(features: gpd.GeoDataFrame, kinds: tuple[str, ...]) -> Shapes:
    return np.asarray(features.geometry[features["feature"].isin(kinds)].array, dtype=object)


def _layers(lawn: gpd.GeoSeries, area: Shapes) -> dict[str, gpd.GeoDataFrame]:
    inside = gpd.GeoSeries(area, index=lawn.index, crs=lawn.crs)
    return {
        name: shapes[~shapes.is_empty].to_frame("geometry")
        for name, shapes in (("iron area", inside), ("untreated strip", lawn.difference(inside)))
    }
