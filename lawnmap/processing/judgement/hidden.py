"""What lies hidden from blades and tines in each zone."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from lawnmap.processing.judgement.bands import Floats
from lawnmap.processing.judgement.cases import said


def hidden(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame) -> tuple[pd.Categorical, Floats]:
    """Return the kinds of thing hidden in each zone, and the least depth known [mm].

    Nothing found may mean that nobody asked: the cautions say which. Of many sites, which both
    tables then name, each has what is hidden on itself.
    """
    kinds, depth = np.zeros(len(zones), dtype=np.intp), np.full(len(zones), np.nan)
    words = [""]
    if features.empty or zones.empty:
        return said(kinds, words), depth
    things = features[features["feature"] == "hidden"]
    tree = shapely.STRtree(zones.geometry.array)
    thing, zone = tree.query(things.geometry.array, predicate="intersects")
    if "site_id" in zones and "site_id" in things:
        of_zone, of_thing = (each["site_id"].to_numpy(dtype=object) for each in (zones, things))
        own = of_zone[zone] == of_thing[thing]
        thing, zone = thing[own], zone[own]
    kind_of = things["hidden_kind"].fillna("something hidden").to_numpy(dtype=object)
    depths = things["depth_mm"].to_numpy(dtype=float)
    for place in np.unique(zone):
        here = thing[zone == place]
        kinds[place] = len(words)
        words.append(", ".join(sorted(set(kind_of[here]))))
        known = depths[here][~np.isnan(depths[here])]
        depth[place] = known.min() if len(known) else np.nan
    return said(kinds, words), depth
