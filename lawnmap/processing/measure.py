"""The step ``measure``: true areas of each zone, obstacles out, overlaps counted once."""

from __future__ import annotations

from collections.abc import Mapping
from operator import is_not
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap import schema
from lawnmap.found import Heights
from lawnmap.geometry import ellipsoid, overlay, slope, strip, uncertainty
from lawnmap.geometry.rings import batches
from lawnmap.processing.entering import walks
from lawnmap.processing.ground import ground

Shapes = npt.NDArray[np.object_]
Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

AREA = 2  # dimensions of what covers ground


class Measured(NamedTuple):
    """Zones with their areas, and the pairs of zones that share ground."""

    zones: gpd.GeoDataFrame
    shared: list[tuple[str, str, float]]
    lawn: gpd.GeoSeries  # what of each zone is lawn, counted once


class _Sizes(NamedTuple):
    """What outlines measure; `span_m` is what the error of their area grows with."""

    area_m2: Floats
    perimeter_m: Floats
    span_m: Floats


def measure(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    sigmas_m: Mapping[str, float],
    heights: Heights | None = None,
    *,
    sites: Places | None = None,
    features_sites: Places | None = None,
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
    sites, features_sites : arrays of int, optional
        The site of each zone and of each feature, where they are of many: zones of two sites share
        nothing, and what is on one site takes nothing out of another.

    Returns
    -------
    Measured
        The zones with the columns of the step ``measure`` in the schema.
    """
    outlines = np.asarray(zones.geometry.array, dtype=object)
    sized = _sizes(outlines)
    pairs = overlay.overlaps(outlines, sites)
    once = overlay.counted_once(outlines, pairs)
    once_m2 = _areas_again(once, outlines, sized.area_m2)
    things, rows = obstacles(features)
    of_thing = None if features_sites is None else features_sites[rows]
    lawn = overlay.without(once, things, sites, of_thing)
    plan_m2 = np.minimum(_areas_again(lawn, once, once_m2), once_m2)
    sloped = ground(zones["slope_seen_deg"].to_numpy(dtype=float), lawn, heights)
    factor = slope.ground_factor(sloped.slope_deg)
    result = zones.assign(
        **sloped._asdict(),
        outline_area_m2=sized.area_m2,
        obstacle_area_m2=once_m2 - plan_m2,
        shared_area_m2=np.maximum(sized.area_m2 - once_m2, 0.0),
        plan_area_m2=plan_m2,
        ground_area_m2=plan_m2 * factor,
        perimeter_m=sized.perimeter_m,
        area_sigma_m2=_area_sigmas(zones, outlines, sized.span_m, sigmas_m) * factor,
    )
    ids = zones.index
    shared = [(ids[pair.first], ids[pair.second], pair.area_m2) for pair in pairs]
    return Measured(result, shared, gpd.GeoSeries(lawn.copy(), index=zones.index, crs=zones.crs))


def _sizes(outlines: Shapes) -> _Sizes:
    """Return all that is told by the vertices alone; they are read once."""
    found = np.zeros((3, len(outlines)))
    for here, rings in batches(outlines):
        found[:2, here] = ellipsoid.sizes(rings)
        found[2, here] = uncertainty.spans(rings)
    return _Sizes(*found)


def _areas_again(shapes: Shapes, before: Shapes, before_m2: Floats) -> Floats:
    """Return the areas of shapes, of which most are still what they were before."""
    if shapes is before:
        return before_m2
    changed = np.fromiter(map(is_not, shapes, before), bool, len(shapes))
    found = before_m2.copy()
    found[changed] = ellipsoid.areas(shapes[changed])
    return found


def _area_sigmas(
    zones: gpd.GeoDataFrame, outlines: Shapes, span_m: Floats, sigmas_m: Mapping[str, float]
) -> Floats:
    """Return the standard error of each outline's area [m²]; NaN where nothing is known."""
    known = zones["outline_sigma_m"].to_numpy(dtype=float)
    code, sources = pd.factorize(zones["outline_source"])
    usual = np.array([*(sigmas_m.get(each, np.nan) for each in sources), np.nan])[code]
    errors = uncertainty.of_spans(span_m, np.where(np.isnan(known), usual, known))
    # Errors of successive fixes go together: taken one by one they would make it far too small.
    walked = np.array([*(each == walks.GPS for each in sources), False])[code]
    for row in np.flatnonzero(np.isnan(known) & walked):
        errors[row] = walks.area_sigma(outlines[row], sigmas_m[walks.GPS])
    return errors


def obstacles(features: gpd.GeoDataFrame) -> tuple[Shapes, Places]:
    """Return what takes area out of a zone, as polygons, and the row of each.

    A tree is taken out by its stem, wherever its crown ends.
    """
    kind = features["feature"].to_numpy(dtype=object)
    shapes = np.asarray(features.geometry.array, dtype=object)
    stem_m = features["stem_m"].to_numpy(dtype=float)
    tree = kind == "tree"
    wide = np.isin(kind, schema.OBSTACLES) & ~tree & (shapely.get_dimensions(shapes) == AREA)
    stems = np.flatnonzero(tree & (stem_m > 0))
    found = shapes.copy()
    found[stems] = strip.discs(
        shapely.get_coordinates(shapely.centroid(shapes[stems])), stem_m[stems] / 2
    )
    rows = np.union1d(np.flatnonzero(wide), stems)
    return found[rows], rows


def largest_span_km(zones: gpd.GeoDataFrame) -> float:
    """Return the longest side of the box round all zones [km], to tell a site from two towns."""
    if zones.empty:
        return 0.0
    west, south, east, north = zones.total_bounds
    box = shapely.linestrings([[west, south], [east, north]])
    return float(ellipsoid.perimeters(np.array([box], dtype=object))[0]) / 1000
