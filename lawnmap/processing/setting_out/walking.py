"""The step ``walk``: the zones that have work, in the order of a short way round from the gate."""

from __future__ import annotations

from collections.abc import Collection
from itertools import pairwise

import geopandas as gpd
import numpy as np
import shapely

from lawnmap import schema
from lawnmap.geometry.frame import about
from lawnmap.logistics.order import walk_round
from lawnmap.model import LONLAT

NAMES = [column.name for column in schema.columns("walk")]


def walk(
    lawn: gpd.GeoSeries, features: gpd.GeoDataFrame, worked: Collection[str]
) -> gpd.GeoDataFrame:
    """Return the way round as one line a zone, from where the crew was to the zone's middle.

    Parameters
    ----------
    lawn : GeoSeries
        What of each zone is lawn, by zone_id.
    features : GeoDataFrame
        The walk starts at the widest ``access``; without one there is no walk.
    worked : collection of str
        The zones that have work.

    Returns
    -------
    GeoDataFrame
        The layer ``walk`` of the schema, in order. A hint: as the crow flies, from place to place.
    """
    gates = features[features["feature"] == "access"]
    here = [zone_id for zone_id in lawn.index if zone_id in worked]
    if gates.empty or not here:
        return gpd.GeoDataFrame(columns=[*NAMES, "geometry"], geometry="geometry", crs=LONLAT)
    widest = int(np.argmax(gates["width_m"].fillna(0.0).to_numpy(dtype=float)))
    shapes = [gates.geometry.iloc[widest], *lawn.loc[here]]
    frame = about(lawn.iloc[0])
    places = shapely.get_coordinates(shapely.point_on_surface(frame.flat(np.array(shapes))))
    legs = list(pairwise([0, *walk_round(places)]))
    metres = np.hypot(*np.diff(places[legs], axis=1)[:, 0].T)
    lines = [shapely.LineString(frame.to_lonlat(places[list(leg)])) for leg in legs]
    return gpd.GeoDataFrame(
        {
            "zone_id": [here[end - 1] for _, end in legs],
            "number": np.arange(1, len(legs) + 1),
            "leg_m": metres,
        },
        geometry=lines,
        crs=LONLAT,
    )
