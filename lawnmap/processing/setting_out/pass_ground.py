"""The ground that pass lines are laid over, by kind of work, and what they lift over.

A machine goes round a tree or a gully, and over a wire with its blades up. So what lies hidden is
no hole in the ground of the lines, though the strip along it is kept clear of blades all the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.overlay import polygons_only
from lawnmap.model import Specification
from lawnmap.processing.setting_out.hand import BLADES, POINT, WIDER, rules
from lawnmap.processing.setting_out.places import called
from lawnmap.reference import tables

Shapes = npt.NDArray[np.object_]

FEED, SEED, SCARIFYING = "feed", "seed", "scarifying"
OF_OPERATION = {"feeding": FEED, "overseeding": SEED, SCARIFYING: BLADES}


class Ground(NamedTuple):
    """Where the lines of one step may lie.

    Attributes
    ----------
    area : Polygon or MultiPolygon
        Longitude/latitude; empty where the step has no ground.
    area_m2 : float
        What of it the work covers, along the slope; NaN when nobody said [m²].
    things : (n,) array of points and lines
        What lies hidden, longitude/latitude; for blades only.
    keep_m : (n,) array
        Distance that blades keep from each [m].
    """

    area: BaseGeometry
    area_m2: float
    things: Shapes
    keep_m: npt.NDArray[np.float64]


def kind_of(step: Mapping[str, object]) -> str:
    """Return the kind of ground a step has, as in the layer ``treatable``."""
    return OF_OPERATION.get(str(step["operation"]), str(step["kind"]))


def ground(
    zone_id: str,
    kind: str,
    layers: Mapping[str, gpd.GeoDataFrame],
    features: gpd.GeoDataFrame,
    specification: Specification,
) -> Ground:
    """Return the ground of one kind of work in a zone.

    Parameters
    ----------
    zone_id, kind : str
    layers : mapping of str to GeoDataFrame
        ``lawn`` by zone_id, and of the strips ``treatable`` and ``kept_clear``; without those the
        whole lawn is covered.
    features : GeoDataFrame
    specification : Specification
    """
    lawn = layers["lawn"].geometry.loc[zone_id]
    none = np.zeros(0, dtype=object), np.zeros(0)
    if "treatable" not in layers:
        return Ground(lawn, np.nan, *none)
    left = _rows(layers["treatable"], zone_id, kind)
    if left.empty:
        return Ground(shapely.Polygon(), 0.0, *none)
    area_m2 = float(left["area_m2"].sum())
    if kind != BLADES:
        return Ground(left.geometry.iloc[0], area_m2, *none)
    hidden = _hidden(features, lawn)
    kept = _rows(layers["kept_clear"], zone_id, kind) if "kept_clear" in layers else left[:0]
    other = kept[~kept["because"].isin(_names(hidden))] if len(kept) else kept
    area = shapely.difference(lawn, shapely.union_all(np.asarray(other.geometry.array)))
    # Where edges all but meet, lines are left over; no bout is laid on a line.
    (area,) = polygons_only(np.array([area], dtype=object))
    return Ground(area, area_m2, np.asarray(hidden.geometry.array), _keep_m(hidden, specification))


def _rows(layer: gpd.GeoDataFrame, zone_id: str, kind: str) -> gpd.GeoDataFrame:
    return layer[(layer["zone_id"] == zone_id) & (layer["kind"] == kind)]


def _hidden(features: gpd.GeoDataFrame, lawn: BaseGeometry) -> gpd.GeoDataFrame:
    """Return what lies hidden in or just beside a lawn, within reach of blades."""
    deep = features["depth_mm"].to_numpy(dtype=float) > tables.value("hidden_deep_mm").number
    here = features[(features["feature"] == "hidden").to_numpy(dtype=bool) & ~deep]
    west, south, east, north = lawn.bounds
    wide, high = (east - west) / 2, (north - south) / 2
    box = shapely.box(west - wide, south - high, east + wide, north + high)
    return here[shapely.intersects(box, np.asarray(here.geometry.array, dtype=object))]


def _names(hidden: gpd.GeoDataFrame) -> set[str]:
    words: pd.DataFrame = hidden.drop(columns=hidden.geometry.name)
    return {called({str(k): v for k, v in row.items()}) for row in words.to_dict("records")}


def _keep_m(hidden: gpd.GeoDataFrame, specification: Specification) -> npt.NDArray[np.float64]:
    """Return how far blades stay from each hidden thing: a point or a line [m]."""
    found = {each.shape: each.width_m for each in rules(BLADES, specification, None) if each.shape}
    point = shapely.get_dimensions(np.asarray(hidden.geometry.array, dtype=object)) == 0
    return np.where(point, found[POINT], found[WIDER])
