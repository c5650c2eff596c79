"""Litres of loose arisings that the blades bring up in each zone."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.agronomy import arisings
from lawnmap.reference import tables

Floats = npt.NDArray[np.float64]


class Loose(NamedTuple):
    """Litres at the least and at the most, and whether they rest on the depth of the moss."""

    low: Floats
    high: Floats
    by_depth: npt.NDArray[np.bool_]


def loose(zones: gpd.GeoDataFrame, area: Floats) -> Loose:
    """Return what comes off each zone: from the depth of the moss if known, else by class.

    Parameters
    ----------
    zones : GeoDataFrame
        Bladed zones, with the columns of the step ``choose``.
    area : array
        Ground of each zone that is bladed [m²].
    """
    depth = zones["moss_depth_mm"].to_numpy(dtype=float)
    by_class = _by_class(zones, area)
    by_depth = _by_depth(zones, area, depth)
    deep = ~np.isnan(by_depth[1])
    low, high = (np.where(deep, one, other) for one, other in zip(by_depth, by_class, strict=True))
    return Loose(low, high, deep)


def _by_class(zones: gpd.GeoDataFrame, area: Floats) -> arisings.Pair:
    classes = [tables.value(each) for each in zones["arisings"]]
    return arisings.litres_by_class(
        area, [each.low for each in classes], [each.high for each in classes]
    )


def _by_depth(zones: gpd.GeoDataFrame, area: Floats, depth_mm: Floats) -> arisings.Pair:
    """Return litres from the depth of the moss; NaN where no depth or cover is known."""
    bulking = tables.value("arisings_bulking")
    return arisings.litres_by_depth(
        area,
        depth_mm,
        zones["moss_low_pct"],
        zones["moss_high_pct"],
        share_low=tables.value("moss_removed_share").number,
        share_high=tables.value("moss_removed_share_most").number,
        bulking_low=bulking.low,
        bulking_high=bulking.high,
    )
