"""The step ``blade_strips``: what of each zone a machine with blades covers, and what a rake does.

It comes after ``choose``, since how near a machine goes to what depends on the machine.
"""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.found import Heights
from lawnmap.model import Specification
from lawnmap.processing.setting_out.hand import BLADES, RAKE
from lawnmap.processing.setting_out.places import SITE
from lawnmap.processing.setting_out.strips import layers
from lawnmap.processing.setting_out.treatable import treatable

Places = npt.NDArray[np.intp]


def blade_strips(
    zones: gpd.GeoDataFrame,
    lawn: gpd.GeoSeries,
    features: gpd.GeoDataFrame,
    specification: Specification,
    heights: Heights | None = None,
    *,
    sites: Places | None = None,
    features_sites: Places | None = None,
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
    sites, features_sites : arrays of int, optional
        The site of each zone and of each feature, where they are of many; without heights.

    Returns
    -------
    zones : GeoDataFrame
        With the columns of the step ``blade_strips``.
    layers : dict of str to GeoDataFrame
        ``kept_clear`` and ``treatable`` of the blades; none where no words are wanted.
    """
    if features_sites is not None:
        features = features.assign(**{SITE: features_sites})
    found = treatable(zones, lawn, features, specification, BLADES, heights=heights, sites=sites)
    result = zones.assign(blades_area_m2=found.area_m2, rake_area_m2=found.kept_m2(RAKE))
    return result, layers({BLADES: found}) if specification.words else {}
