"""What stands on a site and throws a shadow: trees, hedges, fences and buildings with a height.

What has no height is left out and named, never guessed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.frame import Frame
from lawnmap.geometry.sunlight.obstacle import Obstacle
from lawnmap.processing.sun import leaf
from lawnmap.processing.sun.levels import Levels
from lawnmap.processing.sun.overhead import Cover
from lawnmap.reference import tables

Outline = Polygon | MultiPolygon
KINDS = ("tree", "building", "hedge", "fence")
ROUND = 8  # sides to a quarter of a crown's circle


class Standing(NamedTuple):
    """Obstacles while deciduous trees are in leaf and while they are bare, and what was left out.

    Attributes
    ----------
    in_leaf, bare : list of Obstacle
        The same obstacles; only what their crowns let through differs.
    told : list of str
        What a person should know, each a whole sentence.
    cover : Cover or None
        What stands there by surface heights, mapped or not.
    """

    in_leaf: list[Obstacle]
    bare: list[Obstacle]
    told: list[str]
    cover: Cover | None = None

    @property
    def changes(self) -> bool:
        """Whether any crown lets more sun through when it is bare."""
        return self.in_leaf != self.bare


class _Part(NamedTuple):
    """One prism of a feature, above its own ground [m]; 0 stands on it. Solid unless it passes."""

    footprint: Outline
    low_m: float
    high_m: float
    passes: tuple[float, float] = (0.0, 0.0)


def standing(features: gpd.GeoDataFrame, frame: Frame, levels: Levels) -> Standing:
    """Return what stands in the way of the sun.

    Parameters
    ----------
    features : GeoDataFrame
        Longitude/latitude, with the fact columns of the schema.
    frame : Frame
        In which the obstacles are wanted.
    levels : Levels
        In the same frame. Each feature stands on the ground in its middle.
    """
    found = Standing([], [], [])
    without: list[str] = []
    chosen = features[features["feature"].isin(KINDS)]
    shapes = frame.flat(np.asarray(chosen.geometry.array, dtype=object))
    for shape, facts in zip(shapes, chosen.to_dict("records"), strict=True):
        named = _named(facts)
        if not facts["height_m"] > 0:
            without.append(f"{named} (no height)")
            continue
        if shape.is_empty or not shape.is_valid:
            without.append(f"{named} (its outline crosses itself)")
            continue
        parts = list(_parts(shape, facts, named, found.told, without))
        middle = shapely.get_coordinates(shapely.centroid(shape))
        ground = float(levels.at(middle)[0])
        for part in parts:
            low = ground + part.low_m if part.low_m > 0 else -np.inf
            for where, share in zip((found.in_leaf, found.bare), part.passes, strict=True):
                where.append(Obstacle(part.footprint, low, ground + part.high_m, share))
    if without:
        found.told.insert(
            0, f"Left out, as if they were not there: {', '.join(without)}. Give what is missing."
        )
    return found


def _parts(
    shape: BaseGeometry, facts: Mapping[str, Any], named: str, told: list[str], without: list[str]
) -> Iterator[_Part]:
    """Yield the prisms of a feature that has a height; say why there are none."""
    height = float(facts["height_m"])
    if facts["feature"] == "tree":
        if shape.geom_type == "Point" and not facts["crown_radius_m"] > 0:
            without.append(f"{named} (no crown radius)")
        elif facts["crown_base_m"] >= height:
            without.append(f"{named} (its crown begins above its top)")
        else:
            yield from _tree(shape, facts, named, told)
    elif isinstance(shape, Polygon | MultiPolygon):
        yield _Part(shape, 0.0, height)
    else:
        width = tables.value(f"{facts['feature']}_width_m").number
        yield _Part(shape.buffer(width / 2, cap_style="flat"), 0.0, height)


def _tree(
    shape: BaseGeometry, facts: Mapping[str, Any], named: str, told: list[str]
) -> Iterator[_Part]:
    """Yield the crown of a tree, and the stem under it where its thickness is known."""
    base = float(facts["crown_base_m"])
    if np.isnan(base):
        told.append(f"{named} has no crown base: its crown is taken to reach the ground.")
        base = 0.0
    if facts["leaf"] not in leaf.KINDS:
        told.append(f"{named} is not known to be evergreen: it is taken as deciduous.")
    crown: Outline
    if isinstance(shape, Polygon | MultiPolygon):
        crown = shape
    else:
        crown = shape.buffer(float(facts["crown_radius_m"]), quad_segs=ROUND)
    yield _Part(crown, base, float(facts["height_m"]), leaf.passes(str(facts["leaf"])))
    if base > 0 and facts["stem_m"] > 0:
        stem = shape.centroid.buffer(float(facts["stem_m"]) / 2, quad_segs=2)
        yield _Part(stem, 0.0, base)


def _named(facts: Mapping[str, Any]) -> str:
    """Return a feature as a message calls it."""
    name = facts["name"]
    return f"{facts['feature']} {name}" if isinstance(name, str) and name else facts["feature"]
