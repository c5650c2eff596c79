"""What hours of sun rest on, as digests: where one differs, the hours are of another site."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping

import geopandas as gpd
import numpy as np
import shapely

from lawnmap.found import Heights, SurfaceHeights
from lawnmap.processing.sun.standing import KINDS
from lawnmap.reference import tables
from lawnmap.schema import OBSTACLES

METHOD = "2"  # raised when the same facts come to give other hours
SURFACE = "surface heights"  # what that part of the facts is called
GIVEN = ("feature", "height_m", "crown_base_m", "crown_radius_m", "stem_m", "leaf")
VALUES = (
    "crown_passes_in_leaf",
    "crown_passes_bare",
    "crown_passes_evergreen",
    "leaf_out_day",
    "leaf_off_day",
    "hedge_width_m",
    "fence_width_m",
)


def facts_of(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    heights: Heights | None,
    surface: SurfaceHeights | None = None,
) -> dict[str, str]:
    """Return a digest of each part of the facts, by what a person calls that part.

    A site without a surface has no part for it.
    """
    standing = features["feature"].isin(KINDS)
    lying = features["feature"].isin(OBSTACLES) & ~standing
    ground = b"" if heights is None else np.ascontiguousarray(heights.points).tobytes()
    above = {} if surface is None else {SURFACE: _surface(surface)}
    return {
        "outlines of zones": _digest([*map(str, zones.index)], zones),
        "trees, hedges, fences or buildings": _digest(
            _rows(features[standing]), features[standing]
        ),
        "beds, paving or water": _digest([], features[lying]),
        "heights of the ground": hashlib.sha256(ground).hexdigest(),
        **above,
        "lawnmap's own values": _text([METHOD, *(repr(tables.value(each)) for each in VALUES)]),
    }


def changed(there: Mapping[str, str], now: Mapping[str, str]) -> list[str]:
    """Return which parts of the facts are others now."""
    return [part for part in {**now, **there} if there.get(part) != now.get(part)]


def _rows(features: gpd.GeoDataFrame) -> list[str]:
    return [repr(row) for row in features[list(GIVEN)].itertuples(index=False, name=None)]


def _digest(texts: Iterable[str], table: gpd.GeoDataFrame) -> str:
    shapes = shapely.to_wkb(np.asarray(table.geometry.array, dtype=object), hex=True)
    return _text([*texts, *shapes])


def _surface(surface: SurfaceHeights) -> str:
    lie = repr((surface.heights.shape, surface.first, surface.column, surface.row))
    cells = hashlib.sha256(np.ascontiguousarray(surface.heights).tobytes()).hexdigest()
    return _text([lie, cells])


def _text(parts: Iterable[str]) -> str:
    return hashlib.sha256("\n".join(parts).encode("utf-8")).hexdigest()
