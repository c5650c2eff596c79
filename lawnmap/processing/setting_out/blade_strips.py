"""The step ``blade_strips``: what of each zone a machine with blades covers, and what a rake does.

It comes after ``choose``, since how near a machine goes to what depends on the machine.
"""

from __future__ import annotations

import geopandas as gpd

from lawnmap.found import Heights
from lawnmap.model import Specification
from lawnmap.processing.setting_out.hand import BLADES, RAKE
from lawnmap.processing.setting_out.strips import layers
from lawnmap.processing.setting_out.treatable import treatable


def blade_strips(
    zones: gpd.GeoDataFrame,
    lawn: gpd.GeoSeries,
    features: gpd.GeoDataFrame,
    specification: Specification,
    heights: Heights | None = None,
) -> tuple[gpd.GeoDataFrame, dict[str, gpd.GeoDataFrame]]:
    """Add the ground of the blades and of the rake beside them to the zones.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    lawn : GeoSeries
        What of each zone is lawn, in the order of the zones.
    features : GeoDataFrame
    specification : Specification
    heights : Heights, optional
        Of the ground.

    Returns
    -------
    zones : GeoDataFrame
        With the columns of the step ``blade_strips``.
    layers : dict of str to GeoDataFrame
        ``kept_clear`` and ``treatable`` of the blades.
    """
    found = treatable(zones, lawn, features, specification, BLADES, heights=heights)
    result = zones.assign(blades_area_m2=found.area_m2, rake_area_m2=found.kept_m2(RAKE))
    return result, layers({BLADES: found})
