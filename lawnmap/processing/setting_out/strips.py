"""The step ``strips``: what of each zone may take iron, feed and seed, and what is kept clear."""

from __future__ import annotations

from collections.abc import Iterable

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap.model import LONLAT, Specification
from lawnmap.processing.iron.label_card import SPRAYED, iron_card
from lawnmap.processing.setting_out.hand import TREATED, applicator, rules
from lawnmap.processing.setting_out.places import SITE
from lawnmap.processing.setting_out.treatable import Treatable, treatable

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

ROLES = {"feed": ("feeding",), "seed": ("overseeding",)}


def strips(
    zones: gpd.GeoDataFrame,
    lawn: gpd.GeoSeries,
    features: gpd.GeoDataFrame,
    specification: Specification,
    *,
    sites: Places | None = None,
    features_sites: Places | None = None,
) -> tuple[gpd.GeoDataFrame, dict[str, gpd.GeoDataFrame]]:
    """Add what may take iron, feed and seed to the zones.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``measure``.
    lawn : GeoSeries
        What of each zone is lawn, in the order of the zones.
    features : GeoDataFrame
    specification : Specification
    sites, features_sites : arrays of int, optional
        The site of each zone and of each feature, where they are of many. What law and label keep
        from water must then be the same for all of them.

    Returns
    -------
    zones : GeoDataFrame
        With the columns of the step ``strips``.
    layers : dict of str to GeoDataFrame
        ``kept_clear`` and ``treatable`` of the kinds of work that are chosen for the site; none
        where no words are wanted.
    """
    kind = "spray" if iron_card(specification).form in ("", *SPRAYED) else "granules"
    if features_sites is not None:
        features = features.assign(**{SITE: features_sites})
    iron, feed, seed = (
        treatable(zones, lawn, features, specification, each, sites=sites)
        for each in (kind, "feed", "seed")
    )
    result = zones.assign(
        water_strip_m=np.nan if iron.legal.missing else iron.legal.metres,
        water_strip_from=iron.legal.set_by,
        hand_strip_m=_hand_strip_m(kind, features, specification, sites),
        iron_area_m2=_treated(iron, zones),
        feed_strip_m=np.nan if feed.legal.missing else feed.legal.metres,
        feed_strip_from=feed.legal.set_by,
        feed_area_m2=_treated(feed, zones),
        seed_area_m2=_treated(seed, zones),
    )
    if not specification.words:
        return result, {}
    wanted = _wanted(specification)
    made = {kind: iron, "feed": feed, "seed": seed}
    return result, layers({name: each for name, each in made.items() if name in wanted})


def layers(found: dict[str, Treatable]) -> dict[str, gpd.GeoDataFrame]:
    """Return the layers ``kept_clear`` and ``treatable`` of some kinds of work."""
    kept = [each.kept for each in found.values() if len(each.kept)]
    left = [_left(kind, each) for kind, each in found.items()]
    return {
        name: pd.concat(tables, ignore_index=True)
        for name, tables in (("kept_clear", kept), ("treatable", left))
        if tables
    }


def with_more(
    one: dict[str, gpd.GeoDataFrame], other: dict[str, gpd.GeoDataFrame]
) -> dict[str, gpd.GeoDataFrame]:
    """Return layers with the rows of further ones."""
    both = {
        name: [each[name] for each in (one, other) if name in each] for name in {**one, **other}
    }
    return {name: pd.concat(tables, ignore_index=True) for name, tables in both.items()}


def _left(kind: str, found: Treatable) -> gpd.GeoDataFrame:
    shapes = np.asarray(found.area.array, dtype=object)
    any_left = ~shapely.is_empty(shapes)
    data = {
        "zone_id": found.area.index.astype(str)[any_left],
        "kind": kind,
        "area_m2": found.area_m2[any_left],
    }
    return gpd.GeoDataFrame(data, geometry=list(shapes[any_left]), crs=LONLAT)


def _treated(found: Treatable, zones: gpd.GeoDataFrame) -> Floats:
    """Return the ground that gets the product, by machine or by hand, never above the zone's."""
    ground = zones["ground_area_m2"].to_numpy(dtype=float)
    return np.asarray(np.minimum(found.area_m2 + found.kept_m2(*TREATED), ground))


def _hand_strip_m(
    kind: str,
    features: gpd.GeoDataFrame,
    specification: Specification,
    sites: Places | None,
) -> float | Floats:
    """Return the widest strip along what iron stains and is mapped, on each zone's site [m]."""
    mapped = set(features["feature"].unique())
    found = rules(kind, specification, applicator(kind, specification))
    kept = [each for each in found if mapped & set(each.features)]
    if sites is None:
        return max((each.width_m for each in kept), default=0.0)
    widest = np.zeros(len(sites))
    for each in kept:
        there = features[SITE].to_numpy()[features["feature"].isin(each.features).to_numpy()]
        widest = np.maximum(widest, np.where(np.isin(sites, there), each.width_m, 0.0))
    return widest


def _wanted(specification: Specification) -> set[str]:
    """Return the kinds of work that the site or any zone of it has chosen."""
    offered: set[str] = set(_offered(specification))
    found = {kind for kind, names in ROLES.items() if offered & set(names)}
    form = iron_card(specification).form
    return found | ({"spray" if form in SPRAYED else "granules"} if form else set())


def _offered(specification: Specification) -> Iterable[str]:
    for choices in (specification.choices, *specification.by_zone.values()):
        yield from choices.get("operations", ())
