"""Which rake or machine for which zone: of what is to hand, that fits and may go there.

One that is named for the zone comes first. Else the size of the ground says which is usual, and
time and cost say whether it stays: see :mod:`lawnmap.processing.judgement.weighing`.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.model import Machine, Specification
from lawnmap.processing.iron.label_card import first_day
from lawnmap.processing.judgement.bands import Floats
from lawnmap.processing.judgement.cases import (
    Codes,
    Mask,
    Texts,
    by_choice,
    first,
    is_word,
    offered,
    said,
)
from lawnmap.processing.judgement.causes import days_since
from lawnmap.processing.judgement.narrow import room_m, too_narrow
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
FIRST, FAR = -1, 100
NONE = -1  # the place of no machine; the last in a table of them stands for it
# What is said when the better machine is kept out, and when everything is; as BARS.
SECOND = ("blades_slope", "blades_steps", "blades_gate", "blades_narrow")
NOTHING = ("blades_too_steep", "blades_too_heavy", "blades_too_wide", "blades_too_narrow")
YOUNG = "blades_young"
USUAL = (*NOTHING, *SECOND, "blades_named", "blades_by_area", "blades_to_hand")

Ranks = npt.NDArray[np.int8]  # machines in rows, zones in columns


class Blades(NamedTuple):
    """Name, kind and rule of the blades of each zone; empty where none are needed.

    Attributes
    ----------
    name, kind, rule : Categorical
    share : array
        What a pass lifts of the moss, against a scarifying rake or machine.
    told : dict of str to array of str
        Columns of words: the next best rake and machine that could go there too, and the hours or
        cost of each. Empty when no words are wanted.
    """

    name: pd.Categorical
    kind: pd.Categorical
    rule: pd.Categorical
    share: Floats
    told: dict[str, Texts]


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
        With the columns of the step ``measure``, and what comes off where effort is weighed.
    features : GeoDataFrame
        The ways in; see :func:`lawnmap.processing.judgement.reach.barred`.
    specification : Specification
        Machines to hand, the operations of each zone, and blades that are named for one.
    passes : array
        Most passes of each zone at a full yield; 0 where no blades are needed.
    effort : callable or None
        Hours with a machine, by which those to hand are weighed. Without it size alone decides.

    Returns
    -------
    Blades
    """
    found, needed, young = to_hand(specification), passes > 0, seedlings(zones, specification)
    if not found:
        return _without(needed, young, specification)
    size = _size(zones["ground_area_m2"].to_numpy(dtype=float))
    rank = _rank(found, size, zones.index, specification)
    bars = barred(zones, features, found, specification)
    open_to = np.where(np.logical_or.reduce(list(bars.values())), FAR, rank)
    every = specification.words or effort is not None
    bars["narrow"] = _narrow(zones, found, np.where(needed, open_to, FAR), every=every)
    open_to = np.where(bars["narrow"], FAR, open_to)
    free, usual = _best(rank), _best(open_to)
    chosen = Weighed(usual)
    if effort is not None:
        settled = (open_to == FIRST).any(axis=0)
        may = (open_to < FAR) & (~settled | (open_to == FIRST))
        chosen = weighed(
            zones, found, specification, usual=usual, may=may.T, passes=passes, effort=effort
        )
    rules = ["", YOUNG, "blades_none", chosen.rule]
    rule = first([~needed, young, free == NONE, chosen.chosen != usual], len(zones))
    because = len(rules) + _because(found, size, rank, bars, free=free, usual=usual)
    worked = needed & ~young
    own = np.where(worked, chosen.chosen, NONE)
    return Blades(
        said(own, [*(each.name for each in found), ""]),
        said(own, [*(each.kind for each in found), ""]),
        said(np.where(rule < len(rules), rule, because), [*rules, *USUAL]),
        np.array([*(each.yield_share or 1.0 for each in found), 1.0])[chosen.chosen],
        _told(worked, open_to, chosen, found) if specification.words else {},
    )


def seedlings(zones: gpd.GeoDataFrame, specification: Specification) -> Mask:
    """Tell where grass is so young that blades pull it out, and nobody found that it holds."""
    age = days_since(zones["sown_last"], first_day(specification))
    young = age < tables.value("seedling_days").number
    return np.asarray(young & ~is_word(zones["tug_test"], "holds"))


def _without(needed: Mask, young: Mask, specification: Specification) -> Blades:
    """Return what is said where neither a rake nor a machine is to hand."""
    nothing = said(np.zeros(len(needed), dtype=np.int8), [""])
    rule = said(first([~needed, young], len(needed)), ["", YOUNG, "blades_none"])
    words = np.full(len(needed), "", dtype=object)
    told = {"blades_others": words, "blades_weighed": words} if specification.words else {}
    return Blades(nothing, nothing, rule, np.ones(len(needed)), told)


def _because(
    found: list[Machine],
    size: Codes,
    rank: Ranks,
    bars: dict[str, Mask],
    *,
    free: Places,
    usual: Places,
) -> Codes:
    """Return why the usual blades are usual, as a place in USUAL.

    They are named, usual for the size, or a better one is kept out.
    """
    kinds = np.array([*(KINDS.index(each.kind) for each in found), NONE])
    best = np.array([KINDS.index(order[0]) for order in ORDER])
    zone = np.arange(len(size))
    held = [bars[each][np.maximum(free, 0), zone] for each in BARS]
    masks = [
        *((usual == NONE) & each for each in held),
        *((usual != free) & each for each in held),
        (usual != NONE) & (rank[usual, zone] == FIRST),
        kinds[usual] == best[size],
    ]
    return first(masks, len(size))


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


def _size(area_m2: Floats) -> Codes:
    limits = [tables.value(name).number for name in ("rake_up_to_m2", "electric_up_to_m2")]
    return np.searchsorted(limits, area_m2, side="left")


def _rank(
    found: list[Machine], size: Codes, zone_ids: pd.Index, specification: Specification
) -> Ranks:
    """Return the place of each machine in each zone's order; FAR where it was not offered."""
    place = np.array([[order.index(each.kind) for order in ORDER] for each in found], dtype=np.int8)
    raked, scarified = (offered(specification, name, zone_ids) for name in ("raking", "scarifying"))
    may = np.array([raked if each.kind == RAKE else scarified for each in found])
    rank = np.where(may, place[:, size], FAR)
    names = [each.name for each in found]
    named = by_choice(
        specification, "blades", zone_ids, lambda each: names.index(each) if each in names else NONE
    )
    here = np.flatnonzero(named != NONE)
    here = here[rank[named[here], here] < FAR]
    rank[named[here], here] = FIRST
    return rank


def _narrow(zones: gpd.GeoDataFrame, found: list[Machine], rank: Ranks, *, every: bool) -> Mask:
    """Return where ground is too narrow for machines that could go there otherwise.

    Unless every machine is wanted, only the best of each zone is looked at, and the next best where
    that one is kept out.
    """
    room = np.array([room_m(each) for each in found])
    narrow = np.zeros(rank.shape, dtype=bool)
    if every:
        machine, here = np.nonzero((rank < FAR) & (room > 0)[:, None])
        narrow[machine, here] = too_narrow(zones, here, room[machine])
        return narrow
    here = np.arange(len(zones))
    while len(here):
        best = _best(np.where(narrow[:, here], FAR, rank[:, here]))
        asked = (best != NONE) & (room[best] > 0)
        best, here = best[asked], here[asked]
        out = too_narrow(zones, here, room[best])
        best, here = best[out], here[out]
        narrow[best, here] = True
    return narrow


def _best(rank: npt.NDArray[Any]) -> Places:
    """Return the place of the first lowest rank of each zone; NONE where every machine is out."""
    best = np.argmin(rank, axis=0)
    return np.where(rank[best, np.arange(rank.shape[1])] < FAR, best, NONE)


def _told(needed: Mask, rank: Ranks, chosen: Weighed, found: list[Machine]) -> dict[str, Texts]:
    others = np.where(needed, _others(rank, chosen.chosen, found), "").astype(object)
    weighed_up = np.full(len(needed), "", dtype=object) if chosen.told is None else chosen.told
    return {"blades_others": others, "blades_weighed": weighed_up}


def _others(rank: Ranks, chosen: Places, found: list[Machine]) -> Texts:
    """Return the best rake and the best machine beside the one chosen in each zone."""
    told = []
    for row, own in zip(rank.T, chosen, strict=True):
        places = [each for each in np.argsort(row, kind="stable") if row[each] < FAR]
        best = {found[each].kind == RAKE: each for each in reversed(places) if each != own}
        told.append("; ".join(found[each].name for each in sorted(best.values(), key=places.index)))
    return np.array(told, dtype=object)
