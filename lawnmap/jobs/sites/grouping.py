"""Which sites of a partition are worked as if they were one: those of which the same holds.

Most steps look at one zone. What else they look at is few things of the whole site: whether water
or drains are mapped there, which must be known before anything is applied; and the best way in.
"""

from __future__ import annotations

from collections.abc import Iterator

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

Codes = npt.NDArray[np.intp]
Floats = npt.NDArray[np.float64]

LEGAL = ("water", "drain")
ACCESS, CORE = "access", "core"
UNKNOWN = "unknown"  # a thing that is mapped on a site and could not be read: it may be water
NOWHERE = "none"  # instead of the place of a zone that is not there


def groups(
    site: Codes, features: gpd.GeoDataFrame, of_feature: Codes, needed_m: Floats
) -> Iterator[tuple[Codes, Codes]]:
    """Yield the places of zones and features that are worked together.

    Parameters
    ----------
    site : (n,) array
        The site of each zone, from 0.
    features : GeoDataFrame
    of_feature : (m,) array
        The site of each feature; below 0 when it has no zone.
    needed_m : (k,) array
        Widths that the machines to hand need, ascending [m]: ways that let the same ones in are
        alike.
    """
    many = int(site.max(initial=-1)) + 1
    kind = features["feature"].to_numpy(dtype=object)
    legal = np.zeros(many)
    for bit, thing in enumerate(LEGAL):
        there = np.unique(of_feature[(kind == thing) & (of_feature >= 0)])
        legal[there] += 1 << bit
    widest, fewest = _best_ways(many, features, kind, of_feature)
    let_in = np.searchsorted(needed_m, widest, side="right")
    rows = np.column_stack([legal, let_in, fewest > 0])
    found, group = np.unique(rows, axis=0, return_inverse=True)
    group = group.ravel()
    of_zone, of_thing = group[site], np.where(of_feature >= 0, group[of_feature], -1)
    for each in range(len(found)):
        yield np.flatnonzero(of_zone == each), np.flatnonzero(of_thing == each)


def placed(
    zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, site: Codes, of_feature: Codes
) -> Codes:
    """Return the place of the zone that each core is of, below 0 for none and for other things.

    A core is of the zone that it names, or of the one that it lies in.
    """
    found = np.full(len(features), -1, dtype=np.intp)
    core = np.flatnonzero((features["feature"] == CORE).to_numpy(dtype=bool) & (of_feature >= 0))
    if not len(core):
        return found
    own = np.flatnonzero(np.isin(site, of_feature[core]))
    names = pd.MultiIndex.from_arrays([site[own], zones["zone_id"].iloc[own].astype(str)])
    named = features["zone_id"].iloc[core].fillna("").to_numpy(dtype=object)
    place = names.get_indexer(pd.MultiIndex.from_arrays([of_feature[core], named]))
    found[core] = np.where(place >= 0, own[place], -1)
    bare = core[named == ""]
    shapes = (np.asarray(each.geometry.array, dtype=object) for each in (zones, features))
    outlines, points = next(shapes)[own], next(shapes)[bare]
    point, zone = shapely.STRtree(outlines).query(points, predicate="within")
    same = site[own[zone]] == of_feature[bare[point]]
    found[bare[point[same]]] = own[zone[same]]
    return found


def names_of(place: Codes, places: Codes) -> npt.NDArray[np.object_]:
    """Return the name of each core's zone among zones that go by their place in a group."""
    names = np.full(len(place), NOWHERE, dtype=object)
    some = np.flatnonzero(place >= 0)
    names[some] = np.searchsorted(places, place[some]).astype(str)
    return names


def _best_ways(
    many: int, features: gpd.GeoDataFrame, kind: npt.NDArray[np.object_], of_feature: Codes
) -> tuple[Floats, Floats]:
    """Return width [m] and steps of the best way into each site; one without any is open."""
    ways = (kind == ACCESS) & (of_feature >= 0)
    width, steps = (features[each].to_numpy(dtype=float)[ways] for each in ("width_m", "steps"))
    widest, fewest = np.full(many, -np.inf), np.full(many, np.inf)
    # A way that nobody measured is wide enough, and has no steps.
    np.maximum.at(widest, of_feature[ways], np.where(np.isnan(width), np.inf, width))
    np.minimum.at(fewest, of_feature[ways], np.nan_to_num(steps))
    none = np.isinf(fewest)
    return np.where(none, np.inf, widest), np.where(none, 0.0, fewest)
