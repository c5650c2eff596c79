"""The step ``refills``: where a crew leaves a zone to fill up again, and how far that is.

What is mixed with water is filled up at a tap; bags stand where the crew came in.
"""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from lawnmap import schema
from lawnmap.geometry.frame import about
from lawnmap.model import LONLAT

NAMES = [column.name for column in schema.columns("refills")]
ONCE = 1  # the first load is filled on the way to the zone


def refills(
    loads: pd.DataFrame, lawn: gpd.GeoSeries, features: gpd.GeoDataFrame
) -> gpd.GeoDataFrame:
    """Return the place on the edge of each zone that is nearest to water, or to the way in.

    Parameters
    ----------
    loads : DataFrame
        The table ``loads``.
    lawn : GeoSeries
        What of each zone is lawn, by zone_id.
    features : GeoDataFrame
        Water comes from a ``supply`` of the kind ``tap``; where none is mapped, and for what is
        put on dry, it is the gate. Where there is no gate, it is the tap for both.

    Returns
    -------
    GeoDataFrame
        The layer ``refills`` of the schema: a row for each zone that needs more than one load of
        what is filled at the same sort of place. The way is as the crow flies: walls and beds make
        it longer.
    """
    gates, taps = _sources(features, "access"), _sources(features, "tap")
    fills = loads["full_loads"] + (loads["last_area_m2"] > 0)
    wet = loads["full_water_l"].gt(0) | loads["last_water_l"].gt(0)
    each = pd.DataFrame({"zone_id": loads["zone_id"], "wet": wet, "fills": fills})
    needed = each.groupby(["zone_id", "wet"], sort=False, as_index=False).sum()
    needed = needed[needed["fills"] > ONCE]
    if (gates.empty and taps.empty) or needed.empty:
        return _layer([])
    frame = about(lawn.iloc[0])
    rows = []
    for need in needed.to_dict("records"):
        zone_id, count = need["zone_id"], float(need["fills"])
        first, second = (taps, gates) if need["wet"] else (gates, taps)
        sources = second if first.empty else first
        places = frame.flat(np.asarray(sources.geometry.array, dtype=object))
        (zone,) = frame.flat(np.array([lawn.loc[zone_id]], dtype=object))
        far = shapely.distance(zone, places)
        nearest = int(np.argmin(far))
        edge = shapely.get_point(shapely.shortest_line(zone, places[nearest]), 0)
        rows.append(
            {
                "zone_id": zone_id,
                "filled_at": sources["said"].iloc[nearest],
                "away_m": float(far[nearest]),
                "fills": count,
                "walk_m": 2 * float(far[nearest]) * count,
                "geometry": frame.round(np.array([edge], dtype=object))[0],
            }
        )
    return _layer(rows)


def _sources(features: gpd.GeoDataFrame, kind: str) -> gpd.GeoDataFrame:
    """Return the taps or the ways in, each with what it is called."""
    column, word = ("supply_kind", "tap") if kind == "tap" else ("feature", "way in")
    found = features[features[column] == kind]
    return found.assign(said=[str(each) if each else word for each in found["name"].fillna("")])


def _layer(rows: list[dict[str, object]]) -> gpd.GeoDataFrame:
    return gpd.GeoDataFrame(rows, columns=[*NAMES, "geometry"], geometry="geometry", crs=LONLAT)
