"""Litres of loose arisings that the blades bring up in each zone."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.agronomy import arisings
from lawnmap.reference import tables
from lawnmap.treatments import names
from lawnmap.treatments.chosen import Chosen

Floats = npt.NDArray[np.float64]


class Loose(NamedTuple):
    """Litres at the least and at the most, and whether they rest on the depth of the moss."""

    low: Floats
    high: Floats
    by_depth: npt.NDArray[np.bool_]


def loose(zones: Chosen, area: Floats) -> Loose:
    """Return what comes off each zone: from the depth of the moss if known, else by class.

    Parameters
    ----------
    zones : Chosen
        Bladed zones, with the columns of the step ``choose``.
    area : array
        Ground of each zone that is bladed [m²].
    """
    depth = zones.numbers("moss_depth_mm")
    by_class = _by_class(zones, area)
    by_depth = _by_depth(zones, area, depth)
    deep = ~np.isnan(by_depth[1])
    low, high = (np.where(deep, one, other) for one, other in zip(by_depth, by_class, strict=True))
    return Loose(low, high, deep)


def _by_class(zones: Chosen, area: Floats) -> arisings.Pair:
    low, high = names.figures(zones.names("arisings"), _litres_m2)
    return arisings.litres_by_class(area, low, high)


def _litres_m2(name: str) -> tuple[float, float]:
    found = tables.value(name) if name else None
    return (found.low, found.high) if found else (np.nan, np.nan)


def _by_depth(zones: Chosen, area: Floats, depth_mm: Floats) -> arisings.Pair:
    """Return litres from the depth of the moss; NaN where no depth or cover is known."""
    bulking = tables.value("arisings_bulking")
    return arisings.litres_by_depth(
        area,
        depth_mm,
        zones.numbers("moss_low_pct"),
        zones.numbers("moss_high_pct"),
        share_low=tables.value("moss_removed_share").number,
        share_high=tables.value("moss_removed_share_most").number,
        bulking_low=bulking.low,
        bulking_high=bulking.high,
    )
