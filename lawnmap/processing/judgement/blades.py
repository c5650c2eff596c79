"""Which rake or machine for which zone: of what is to hand, that fits and may go there.

One that is named for the zone comes first. Else the size of the ground says which is usual, and
time and cost say whether it stays: see :mod:`lawnmap.processing.judgement.weighing`.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.model import Machine, Specification
from lawnmap.processing.judgement.condition import Floats, Mask, Texts
from lawnmap.processing.judgement.reach import BARS, RAKE, barred
from lawnmap.processing.judgement.weighing import Effort, Places, Weighed, weighed
from lawnmap.reference import tables

KINDS = (RAKE, "electric", "battery", "petrol", "tractor")
# From the best on, by size of ground: small, middling, large.
ORDER = (
    (RAKE, "electric", "battery", "petrol", "tractor"),
    ("electric", "battery", "petrol", RAKE, "tractor"),
    ("petrol", "tractor", "electric", "battery", RAKE),
)
FIRST, FAR = -1, 1_000
# What is said when the better machine is kept out, and when everything is; as BARS.
SECOND = ("blades_slope", "blades_steps", "blades_gate", "blades_narrow")
NOTHING = ("blades_too_steep", "blades_too_heavy", "blades_too_wide", "blades_too_narrow")


class Blades(NamedTuple):
    """Name, kind and rule of the blades of each zone; empty text where none are needed.

    `share` is what a pass lifts of the moss against a scarifying rake or machine, `others` the next
    best rake and machine that could go there too, and `weighed` the hours or cost of each.
    """

    name: Texts
    kind: Texts
    rule: Texts
    share: Floats
    others: Texts
    weighed: Texts


def blades(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
    passes: Floats,
    effort: Effort | None = None,
) -> Blades:
    """Choose blades for the zones that need them.

    Parameters
    ----------
    zones : GeoDataFrame
        With ``ground_area_m2``, ``slope_deg`` and what comes off.
    features : GeoDataFrame
        The ways in; see :func:`lawnmap.processing.judgement.reach.barred`.
    specification : Specification
        Machines to hand, the operations of each zone, and blades that are named for one.
    passes : array
        Most passes of each zone at a full yield; 0 where no blades are needed.
    effort : callable or None
        Hours with a machine, by which those to hand are weighed. Without it size alone decides.
    """
    found, needed = to_hand(specification), passes > 0
    if not found:
        empty = np.full(len(zones), "", dtype=object)
        rule = np.where(needed, "blades_none", "").astype(object)
        return Blades(empty, empty, rule, np.ones(len(zones)), empty, empty)
    size = _size(zones["ground_area_m2"].to_numpy(dtype=float))
    rank = _rank(found, size, _offered(zones, specification))
    rank = np.where(_named(zones, found, specification) & (rank < FAR), FIRST, rank)
    bars = barred(zones, features, found, specification)
    open_to = np.where(np.logical_or.reduce([bars[each] for each in BARS]), FAR, rank)
    free, usual = _best(rank), _best(open_to)
    chosen = Weighed(usual, *(np.full(len(zones), "", dtype=object) for _ in range(2)))
    if effort is not None:
        settled = (open_to == FIRST).any(axis=1)
        may = (open_to < FAR) & (~settled[:, None] | (open_to == FIRST))
        chosen = weighed(
            zones, found, specification, usual=usual, may=may, passes=passes, effort=effort
        )
    names = np.array([*(each.name for each in found), ""], dtype=object)
    kinds = np.array([*(each.kind for each in found), ""], dtype=object)
    shares = np.array([*(each.yield_share or 1.0 for each in found), 1.0])
    rules = np.where(chosen.rule != "", chosen.rule, _usual_rule(found, size, rank, usual, bars))
    return Blades(
        np.where(needed, names[chosen.chosen], "").astype(object),
        np.where(needed, kinds[chosen.chosen], "").astype(object),
        np.where(needed, np.where((free < 0), "blades_none", rules), "").astype(object),
        shares[chosen.chosen],
        np.where(needed, _others(open_to, chosen.chosen, found), "").astype(object),
        chosen.told,
    )


def _usual_rule(
    found: list[Machine],
    size: npt.NDArray[np.intp],
    rank: npt.NDArray[np.int64],
    usual: Places,
    bars: dict[str, Mask],
) -> Texts:
    """Return why the usual blades are usual: named, by size, or since a better one is kept out."""
    kinds = np.array([*(each.kind for each in found), ""], dtype=object)
    first = np.array([order[0] for order in ORDER], dtype=object)[size]
    row, free = np.arange(len(size)), _best(rank)
    held = [bars[each][row, np.maximum(free, 0)] for each in BARS]
    conditions = [
        *((usual < 0) & each for each in held),
        *((usual != free) & each for each in held),
        (usual >= 0) & (rank[row, usual] == FIRST),
        kinds[usual] == first,
    ]
    rules = [*NOTHING, *SECOND, "blades_named", "blades_by_area"]
    return np.select(conditions, rules, "blades_to_hand").astype(object)


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


def _named(zones: gpd.GeoDataFrame, found: list[Machine], specification: Specification) -> Mask:
    """Return which of the blades to hand was named for each zone: zones in rows."""
    own = [specification.choice("blades", str(each)) or "" for each in zones.index]
    return np.array([[each.name == name for each in found] for name in own], dtype=bool).reshape(
        len(zones), len(found)
    )


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
