"""What lies hidden from blades and tines in each zone."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import shapely

from lawnmap.processing.judgement.condition import Floats, Texts


def hidden(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame) -> tuple[Texts, Floats]:
    """Return the kinds of thing hidden in each zone, and the least depth known [mm].

    Nothing found may mean that nobody asked: the cautions say which.
    """
    words = np.full(len(zones), "", dtype=object)
    depth = np.full(len(zones), np.nan)
    things = features[features["feature"] == "hidden"]
    if things.empty or zones.empty:
        return words, depth
    tree = shapely.STRtree(zones.geometry.array)
    thing, zone = tree.query(things.geometry.array, predicate="intersects")
    kinds = things["hidden_kind"].fillna("something hidden").to_numpy(dtype=object)
    depths = things["depth_mm"].to_numpy(dtype=float)
    for place in np.unique(zone):
        here = thing[zone == place]
        words[place] = ", ".join(sorted(set(kinds[here])))
        known = depths[here][~np.isnan(depths[here])]
        depth[place] = known.min() if len(known) else np.nan
    return words, depth
