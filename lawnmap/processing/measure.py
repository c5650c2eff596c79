"""The step ``measure``: true areas of each zone, obstacles out, overlaps counted once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import shapely

from lawnmap import schema
from lawnmap.geometry import ellipsoid, overlay, slope, strip, uncertainty


class Measured(NamedTuple):
    """Zones with their areas, and the pairs of zones that share ground."""

    zones: gpd.GeoDataFrame
    shared: list[tuple[str, str, float]]
    lawn: gpd.GeoSeries  # what of each zone is lawn, counted once


def measure(
    zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, sigmas_m: Mapping[str, float]
) -> Measured:
    """Add areas and perimeter to the zones.

    Parameters
    ----------
    zones : GeoDataFrame
        Indexed by zone_id, longitude/latitude.
    features : GeoDataFrame
        Everything else on the site; beds, buildings, paving, water and tree stems are taken out.
    sigmas_m : mapping of str to float
        Standard error of a corner by ``outline_source`` [m], for zones without one of their own.

    Returns
    -------
    Measured
        The zones with the columns of the step ``measure`` in the schema.
    """
    outlines = np.asarray(zones.geometry.array, dtype=object)
    pairs = overlay.overlaps(outlines)
    once = overlay.counted_once(outlines, pairs)
    lawn = overlay.without(once, obstacles(features))
    outline_m2, once_m2 = ellipsoid.areas(outlines), ellipsoid.areas(once)
    plan_m2 = np.minimum(ellipsoid.areas(lawn), once_m2)
    slope_deg = zones["slope_seen_deg"].fillna(0.0).to_numpy(dtype=float)
    factor = slope.ground_factor(slope_deg)
    sigma = zones["outline_sigma_m"].fillna(zones["outline_source"].map(dict(sigmas_m)))
    ids = list(zones.index)
    result = zones.assign(
        outline_area_m2=outline_m2,
        obstacle_area_m2=once_m2 - plan_m2,
        shared_area_m2=np.maximum(outline_m2 - once_m2, 0.0),
        plan_area_m2=plan_m2,
        slope_deg=slope_deg,
        ground_area_m2=plan_m2 * factor,
        perimeter_m=ellipsoid.perimeters(outlines),
        area_sigma_m2=uncertainty.area_sigmas(outlines, sigma.to_numpy(dtype=float)) * factor,
    )
    shared = [(ids[pair.first], ids[pair.second], pair.area_m2) for pair in pairs]
    return Measured(result, shared, gpd.GeoSeries(lawn, index=zones.index, crs=zones.crs))


def obstacles(features: gpd.GeoDataFrame) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    """Return what takes area out of a zone, as polygons: a tree drawn as a point by its stem."""
    found = []
    for kind, stem_m, shape in zip(
        features["feature"], features["stem_m"], features.geometry, strict=True
    ):
        if kind not in schema.OBSTACLES:
            continue
        if shape.geom_type in schema.POLYGON and kind != "tree":
            found.append(shape)
        elif kind == "tree" and stem_m > 0:
            middle = shape if shape.geom_type == "Point" else shape.centroid
            found.append(strip.disc(middle.x, middle.y, stem_m / 2))
    return np.array(found, dtype=object)


def largest_span_km(zones: gpd.GeoDataFrame) -> float:
    """Return the longest side of the box round all zones [km], to tell a site from two towns."""
    if zones.empty:
        return 0.0
    west, south, east, north = zones.total_bounds
    box = shapely.linestrings([[west, south], [east, north]])
    return float(ellipsoid.perimeters(np.array([box], dtype=object))[0]) / 1000
