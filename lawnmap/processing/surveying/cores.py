"""Which zone each core lies in, and what was counted and measured in it."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

Frames = dict[str, list[tuple[int, int]]]


def by_zone(
    zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, wanted: list[str]
) -> list[tuple[str, pd.DataFrame]]:
    """Return the cores of each zone: those that name it, and those that name none and lie in it.

    Parameters
    ----------
    zones, features : GeoDataFrame
    wanted : list of str
        Columns without which a core does not count.
    """
    if features.empty or zones.empty:
        return []
    cores = features[features["feature"] == "core"].dropna(subset=wanted)
    if cores.empty:
        return []
    tree = shapely.STRtree(zones.geometry.array)
    core, zone = tree.query(cores.geometry.array, predicate="within")
    owner = np.full(len(cores), "", dtype=object)
    owner[core] = zones.index[zone].astype(str)
    named = cores["zone_id"].fillna("").to_numpy(dtype=object)
    owner = np.where(named != "", named, owner).astype(str)
    return [(str(zone_id), group) for zone_id, group in cores.groupby(owner)]


def moss_frames(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame) -> Frames:
    """Return (hits, points) of every frame that was counted in each zone.

    A frame with more hits than points was not counted rightly, and is left out.
    """
    found: Frames = {}
    for zone_id, cores in by_zone(zones, features, ["moss_hits", "moss_points"]):
        pairs = zip(cores["moss_hits"], cores["moss_points"], strict=True)
        found[zone_id] = [(int(hits), int(points)) for hits, points in pairs if hits <= points]
    return {zone_id: frames for zone_id, frames in found.items() if frames}


def thatch_mm(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame) -> dict[str, list[float]]:
    """Return the thickness in every core of each zone [mm]."""
    return {
        zone_id: [float(each) for each in cores["thatch_mm"]]
        for zone_id, cores in by_zone(zones, features, ["thatch_mm"])
    }
