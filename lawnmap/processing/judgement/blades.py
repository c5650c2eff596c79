"""Which rake or machine for which zone: the best of what is to hand, that fits and may go there."""

from __future__ import annotations

from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.model import Machine, Specification
from lawnmap.processing.judgement.condition import Floats, Mask, Texts
from lawnmap.processing.judgement.reach import BARS, RAKE, barred
from lawnmap.reference import tables

KINDS = (RAKE, "electric", "battery", "petrol", "tractor")
# From the best on, by size of ground: small, middling, large.
ORDER = (
    (RAKE, "electric", "battery", "petrol", "tractor"),
    ("electric", "battery", "petrol", RAKE, "tractor"),
    ("petrol", "tractor", "electric", "battery", RAKE),
)
FAR = 1_000
# What is said when the better machine is kept out, and when everything is; as BARS.
SECOND = ("blades_slope", "blades_steps", "blades_gate", "blades_narrow")
NOTHING = ("blades_too_steep", "blades_too_heavy", "blades_too_wide", "blades_too_narrow")


class Blades(NamedTuple):
    """Name, kind and rule of the blades of each zone; empty text where none are needed.

    `share` is what a pass lifts of the moss against a scarifying rake or machine, and `others` the
    next best rake and machine that could go there too.
    """

    name: Texts
    kind: Texts
    rule: Texts
    share: Floats
    others: Texts


def blades(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
    needed: Mask,
) -> Blades:
    """Choose blades for the zones that need them.

    Parameters
    ----------
    zones : GeoDataFrame
        With ``ground_area_m2`` and ``slope_deg``.
    features : GeoDataFrame
        The ways in; see :func:`lawnmap.processing.judgement.reach.barred`.
    specification : Specification
        Machines to hand, and the operations of each zone.
    needed : array of bool
        Zones with at least one pass.
    """
    found = to_hand(specification)
    if not found:
        empty = np.full(len(zones), "", dtype=object)
        rule = np.where(needed, "blades_none", "").astype(object)
        return Blades(empty, empty, rule, np.ones(len(zones)), empty)
    size = _size(zones["ground_area_m2"].to_numpy(dtype=float))
    rank = _rank(found, size, _offered(zones, specification))
    bars = barred(zones, features, found, specification)
    out = np.logical_or.reduce([bars[each] for each in BARS])
    open_to = np.where(out, FAR, rank)
    free, usable = _best(rank), _best(open_to)
    names = np.array([*(each.name for each in found), ""], dtype=object)
    kinds = np.array([*(each.kind for each in found), ""], dtype=object)
    shares = np.array([*(each.yield_share or 1.0 for each in found), 1.0])
    first = np.array([order[0] for order in ORDER], dtype=object)[size]
    row, of_free = np.arange(len(zones)), np.maximum(free, 0)
    held = [bars[each][row, of_free] for each in BARS]
    conditions = [
        ~needed,
        free < 0,
        *((usable < 0) & each for each in held),
        *((usable != free) & each for each in held),
        kinds[usable] == first,
    ]
    rules = ["", "blades_none", *NOTHING, *SECOND, "blades_by_area"]
    return Blades(
        np.where(needed, names[usable], "").astype(object),
        np.where(needed, kinds[usable], "").astype(object),
        np.select(conditions, rules, "blades_to_hand").astype(object),
        shares[usable],
        np.where(needed, _others(open_to, usable, found), "").astype(object),
    )


def to_hand(specification: Specification) -> list[Machine]:
    """Return rakes and machines with blades, in each kind from the best on.

    One's own goes before a hired one, the cheaper before the dearer, a full yield before less of
    it, wide before narrow.
    """
    return sorted(
        (each for each in specification.machines.values() if each.kind in KINDS),
        key=lambda each: (
            each.hire_a_day or 0.0,
            -(each.yield_share or 1.0),
            -(each.width_m or 0.0),
            each.name,
        ),
    )


def _size(area_m2: Floats) -> npt.NDArray[np.intp]:
    limits = [tables.value(name).number for name in ("rake_up_to_m2", "electric_up_to_m2")]
    return np.searchsorted(limits, area_m2, side="left")


def _rank(found: list[Machine], size: npt.NDArray[np.intp], offered: Mask) -> npt.NDArray[np.int64]:
    """Return the place of each machine in each zone's order; FAR where it was not offered."""
    place = np.array([[order.index(each.kind) for each in found] for order in ORDER])
    return np.where(offered[:, [int(each.kind != RAKE) for each in found]], place[size], FAR)


def _best(rank: npt.NDArray[Any]) -> npt.NDArray[np.intp]:
    """Return the place of the first lowest rank in each row; −1 where every machine is out."""
    best = np.argmin(rank, axis=1)
    return np.where(rank[np.arange(len(rank)), best] < FAR, best, -1)


def _others(rank: npt.NDArray[Any], chosen: npt.NDArray[np.intp], found: list[Machine]) -> Texts:
    """Return the best rake and the best machine beside the one chosen in each zone."""
    told = []
    for row, own in zip(rank, chosen, strict=True):
        places = [each for each in np.argsort(row, kind="stable") if row[each] < FAR]
        best = {found[each].kind == RAKE: each for each in reversed(places) if each != own}
        told.append("; ".join(found[each].name for each in sorted(best.values(), key=places.index)))
    return np.array(told, dtype=object)


def _offered(zones: gpd.GeoDataFrame, specification: Specification) -> Mask:
    """Return which zones may be raked and which scarified: two columns."""
    chosen = [specification.choice("operations", str(each)) or () for each in zones.index]
    return np.array([["raking" in each, "scarifying" in each] for each in chosen]).reshape(-1, 2)
