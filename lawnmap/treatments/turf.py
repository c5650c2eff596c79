"""What the use of the turf of each zone changes: its own use, else that of the site."""

from __future__ import annotations

import geopandas as gpd

from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.reference.rows import Turf

USUAL = "general lawn"


def turfs(zones: gpd.GeoDataFrame, specification: Specification) -> list[Turf]:
    """Return the row of the turf table of each zone."""
    chosen = [specification.choice("turf_type", str(each)) or USUAL for each in zones.index]
    return [
        tables.turf(mapped if isinstance(mapped, str) and mapped else other)
        for mapped, other in zip(zones["turf_type"], chosen, strict=True)
    ]
