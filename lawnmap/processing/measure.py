"""The step ``measure``: true areas of each zone, obstacles out, overlaps counted once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import shapely

from lawnmap import schema
from lawnmap.found import Heights
from lawnmap.geometry import ellipsoid, overlay, slope, strip, uncertainty
from lawnmap.processing.entering import walks
from lawnmap.processing.ground import ground


class Measured(NamedTuple):
    """Zones with their areas, and the pairs of zones that share ground."""

    zones: gpd.GeoDataFrame
    shared: list[tuple[str, str, float]]
    lawn: gpd.GeoSeries  # what of each zone is lawn, counted once


def measure(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    sigmas_m: Mapping[str, float],
    heights: Heights | None = None,
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
    heights : Heights, optional
        Longitude, latitude and height of the ground; see :func:`lawnmap.processing.ground.ground`.

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
    sloped = ground(zones, lawn, heights)
    factor = slope.ground_factor(sloped["slope_deg"].to_numpy(dtype=float))
    ids = list(zones.index)
    result = sloped.assign(
        outline_area_m2=outline_m2,
        obstacle_area_m2=once_m2 - plan_m2,
        shared_area_m2=np.maximum(outline_m2 - once_m2, 0.0),
        plan_area_m2=plan_m2,
        ground_area_m2=plan_m2 * factor,
        perimeter_m=ellipsoid.perimeters(outlines),
        area_sigma_m2=_area_sigmas(zones, outlines, sigmas_m) * factor,
    )
    shared = [(ids[pair.first], ids[pair.second], pair.area_m2) for pair in pairs]
    return Measured(result, shared, gpd.GeoSeries(lawn, index=zones.index, crs=zones.crs))


def _area_sigmas(
    zones: gpd.GeoDataFrame,
    outlines: np.ndarray[tuple[int], np.dtype[np.object_]],
    sigmas_m: Mapping[str, float],
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Return the standard error of each outline's area [m²]; NaN where nothing is known."""
    known = zones["outline_sigma_m"].to_numpy(dtype=float)
    source = zones["outline_source"]
    usual = source.map(dict(sigmas_m)).to_numpy(dtype=float)
    errors = uncertainty.area_sigmas(outlines, np.where(np.isnan(known), usual, known))
    # Errors of successive fixes go together: taken one by one they would make it far too small.
    for row in np.flatnonzero(np.isnan(known) & (source == walks.GPS).to_numpy(dtype=bool)):
        errors[row] = walks.area_sigma(outlines[row], sigmas_m[walks.GPS])
    return errors


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
