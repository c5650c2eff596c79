"""What a feature measures, and what is wrong with it, while a hand still moves its corners."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.found import Heights
from lawnmap.geometry import editing, ellipsoid, validity
from lawnmap.geometry.overlay import LEAST_OVERLAP_M2
from lawnmap.model import LONLAT
from lawnmap.processing import measure
from lawnmap.processing.editing.keyed import Feature, is_zone
from lawnmap.processing.editing.marking import shape_of
from lawnmap.processing.entering.outlines import LARGEST_M2, SMALLEST_M2


class Sizes(NamedTuple):
    """What a feature measures; None where it is not known, or an outline is not sound."""

    area_m2: float | None = None
    ground_m2: float | None = None
    sigma_m2: float | None = None
    perimeter_m: float | None = None


class Problem(NamedTuple):
    """What is wrong, what to do, and where on the map."""

    problem: str
    remedy: str
    at: list[float]


def things(features: Iterable[Feature]) -> gpd.GeoDataFrame:
    """Return the table of what takes area out of a zone: kind, stem and shape.

    What is not sound yet takes nothing out.
    """
    found = [
        (each["properties"], outline)
        for each in features
        if each["properties"].get("feature") in schema.OBSTACLES
        for outline in _sound(each)
    ]
    data = {
        "feature": [facts["feature"] for facts, _ in found],
        "stem_m": [_number(facts.get("stem_m")) for facts, _ in found],
    }
    return gpd.GeoDataFrame(data, geometry=[outline for _, outline in found], crs=LONLAT)


def _sound(feature: Feature) -> list[BaseGeometry]:
    try:
        found = shape_of(feature)
    except InputRefused:
        return []
    return [found] if validity.flaw(found) is None else []


def sizes(
    feature: Feature,
    obstacles: gpd.GeoDataFrame,
    sigmas_m: Mapping[str, float],
    heights: Heights | None = None,
) -> Sizes:
    """Return what a feature measures, by the step ``measure``.

    Parameters
    ----------
    feature : GeoJSON feature
    obstacles : GeoDataFrame
        Made by :func:`things`.
    sigmas_m : mapping of str to float
        Standard error of a corner by ``outline_source`` [m].
    heights : Heights, optional
        Of the ground.
    """
    found = shape_of(feature)
    edge = float(ellipsoid.perimeters(_array(found))[0]) or None
    if found.geom_type not in schema.POLYGON or validity.flaw(found) is not None:
        return Sizes(perimeter_m=edge)
    if not is_zone(feature):
        return Sizes(float(ellipsoid.areas(_array(found))[0]), perimeter_m=edge)
    near = obstacles.iloc[obstacles.sindex.query(found)] if len(obstacles) else obstacles
    row = measure.measure(_row(feature, found), near, sigmas_m, heights).zones.iloc[0]
    sigma = float(row["area_sigma_m2"])
    return Sizes(
        float(row["outline_area_m2"]),
        float(row["ground_area_m2"]),
        sigma if math.isfinite(sigma) else None,
        float(row["perimeter_m"]),
    )


def _row(feature: Feature, found: BaseGeometry) -> gpd.GeoDataFrame:
    facts = feature["properties"]
    source = facts.get("outline_source")
    data = {
        "slope_seen_deg": [_number(facts.get("slope_seen_deg"))],
        "outline_sigma_m": [_number(facts.get("outline_sigma_m"))],
        "outline_source": [source if isinstance(source, str) else None],
    }
    return gpd.GeoDataFrame(data, geometry=[found], crs=LONLAT)


def problems(feature: Feature, key: str, neighbours: Mapping[str, Feature]) -> list[Problem]:
    """Return what is wrong with a feature among its neighbours, each with its place on the map."""
    found = shape_of(feature, key)
    flaw = validity.flaw(found)
    if flaw is not None:
        at = [flaw.x, flaw.y] if math.isfinite(flaw.x) else _middle(found)
        return [Problem(flaw.words, "Move its corners until it is sound.", at)]
    if found.geom_type not in schema.POLYGON:
        return []
    told = list(_size_problems(found)) if is_zone(feature) else []
    if is_zone(feature):
        told += _overlaps(found, key, neighbours)
    return told


def _size_problems(found: BaseGeometry) -> Iterable[Problem]:
    area = float(ellipsoid.areas(_array(found))[0])
    if area > LARGEST_M2:
        yield Problem(
            f"is {area / 1e4:,.0f} ha, an odd size for a zone of lawn",
            "Look whether a corner went astray.",
            _middle(found),
        )
    for part in shapely.get_parts(found):
        if float(ellipsoid.areas(_array(part))[0]) < SMALLEST_M2 or editing.is_sliver(part):
            yield Problem(
                "has a part with hardly any width",
                "Take it out, or merge it with its neighbour.",
                _middle(part),
            )


def _overlaps(found: BaseGeometry, key: str, neighbours: Mapping[str, Feature]) -> list[Problem]:
    zones = {k: each for k, each in neighbours.items() if k != key and is_zone(each)}
    shapes = {k: shape_of(each, k) for k, each in zones.items()}
    sound = {k: each for k, each in shapes.items() if shapely.is_valid(each)}
    outlines = np.array(list(sound.values()), dtype=object)
    if not len(outlines):
        return []
    told = []
    for other in np.array(list(sound))[shapely.intersects(outlines, found)]:
        parts = shapely.get_parts(shapely.intersection(sound[other], found))
        shared = shapely.union_all([each for each in parts if each.area > 0])
        area = float(ellipsoid.areas(_array(shared))[0])
        if area > LEAST_OVERLAP_M2:
            name = zones[other]["properties"].get("name") or other
            told.append(
                Problem(
                    f"shares {area:.2f} m² with {name}, which is counted once only",
                    "Share the line between them, or cut one of them back.",
                    _middle(shared),
                )
            )
    return told


def _array(found: BaseGeometry) -> Any:
    return np.array([found], dtype=object)


def _middle(found: BaseGeometry) -> list[float]:
    point = found.representative_point()
    return [float(point.x), float(point.y)]


def _number(value: Any) -> float:
    return float(value) if type(value) in {int, float} else math.nan
