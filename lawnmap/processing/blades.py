"""Which rake or machine for which zone: the best of what is to hand, that fits and may go there."""

from __future__ import annotations

from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.model import Machine, Specification
from lawnmap.processing.condition import Mask, Texts
from lawnmap.reference import tables

RAKE = "rake"
KINDS = (RAKE, "electric", "battery", "petrol", "tractor")
# From the best on, by size of ground: small, middling, large.
ORDER = (
    (RAKE, "electric", "battery", "petrol", "tractor"),
    ("electric", "battery", "petrol", RAKE, "tractor"),
    ("petrol", "tractor", "electric", "battery", RAKE),
)
OPERATION = {kind: "raking" if kind == RAKE else "scarifying" for kind in KINDS}
FAR = 1_000


class Blades(NamedTuple):
    """Name, kind and rule of the blades of each zone; empty text where none are needed."""

    name: Texts
    kind: Texts
    rule: Texts


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
        The way in counts when there is one only: of several nobody knows which is taken.
    specification : Specification
        Machines to hand, and the operations of each zone.
    needed : array of bool
        Zones with at least one pass.
    """
    found = sorted(
        (each for each in specification.machines.values() if each.kind in KINDS),
        key=lambda each: (-(each.width_m or 0.0), each.name),
    )
    if not found:
        empty = np.full(len(zones), "", dtype=object)
        return Blades(empty, empty, np.where(needed, "blades_none", "").astype(object))
    size = _size(zones["ground_area_m2"].to_numpy(dtype=float))
    rank = _rank(found, size, _offered(zones, specification))
    slow = _too_steep(zones["slope_deg"].to_numpy(dtype=float), found)
    wide = np.array([_too_wide(each, features) for each in found], dtype=bool)[None, :]
    free, usable = _best(rank), _best(np.where(slow | wide, FAR, rank))
    names = np.array([*(each.name for each in found), ""], dtype=object)
    kinds = np.array([*(each.kind for each in found), ""], dtype=object)
    row = np.arange(len(zones))
    first = np.array([order[0] for order in ORDER], dtype=object)[size]
    none, without = usable < 0, free < 0
    held_by_slope = ~without & slow[row, np.maximum(free, 0)]
    rule = np.select(
        [
            ~needed,
            without,
            none & held_by_slope,
            none,
            (usable != free) & held_by_slope,
            usable != free,
            kinds[usable] == first,
        ],
        ["", "blades_none", "blades_too_steep", "blades_too_wide", "blades_slope", "blades_gate",
         "blades_by_area"],
        "blades_to_hand",
    )  # fmt: skip
    return Blades(
        np.where(needed, names[usable], "").astype(object),
        np.where(needed, kinds[usable], "").astype(object),
        rule.astype(object),
    )


def _size(area_m2: npt.NDArray[np.float64]) -> npt.NDArray[np.intp]:
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


def _offered(zones: gpd.GeoDataFrame, specification: Specification) -> Mask:
    """Return which zones may be raked and which scarified: two columns."""
    chosen = [specification.choice("operations", str(each)) or () for each in zones.index]
    return np.array([["raking" in each, "scarifying" in each] for each in chosen]).reshape(-1, 2)


def _too_steep(slope_deg: npt.NDArray[np.float64], found: list[Machine]) -> Mask:
    """Return where a machine may not work even across the face; a rake always may."""
    across = tables.value("across_slope_deg").number
    limits = [
        np.inf
        if each.kind == RAKE
        else across
        if each.most_slope_deg is None
        else each.most_slope_deg
        for each in found
    ]
    return np.asarray(slope_deg[:, None] > np.array(limits)[None, :])


def _too_wide(machine: Machine, features: gpd.GeoDataFrame) -> bool:
    """Tell whether a machine does not fit through the only way in."""
    ways = features.loc[features["feature"] == "access", "width_m"]
    if len(ways) != 1 or machine.overall_width_m is None or machine.kind == RAKE:
        return False
    return bool(machine.overall_width_m > ways.iloc[0])
