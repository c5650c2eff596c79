"""Which feature on a site each feature of a plan is: by id, by its ground, or by name and place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.frame import about
from lawnmap.processing.entering.outlines import Shaped

SAME_SHARE = 0.8  # of the larger outline: from here on two outlines are taken for one feature
SAME_SPOT_M = 0.1  # between two points or lines that are taken for one: a plan's rounding
ALIKE_DIGITS = 9  # of a share: two that differ by less are equally alike
NEAR_M = 2.0  # between two of one name that have no area in common to share
LABELS = ("client_number", "id", "name")  # what a plan may call a feature, the surest first
MOST_PAIRS = 20_000_000  # of corners: 0.4 s when measured
M_A_DEGREE = 111_000.0  # of latitude, roughly: only to find what is near

Shapes = npt.NDArray[np.object_]


def twins(shaped: Sequence[Shaped], features: Sequence[dict[str, Any]]) -> list[int | None]:
    """Return the index of the feature on the site that each feature of a plan is, if any.

    A zone that brings a ``zone_id`` is the zone of that id and no other. Anything else is taken
    for the one of its kind that lies on the same ground: outlines that share at least 80 % of the
    larger, points and lines within 0.1 m. What is left is taken for the one of its kind with the
    same client's number, id or name, when that stands once in the plan and once on the site and
    the two meet, or lie within 2 m where they have no area. No feature is taken twice.
    """
    search = _Search(shaped, features)
    search.by_id()
    search.by_ground()
    for label in LABELS:
        search.by_label(label)
    return search.found


class _Search:
    """The features still without a twin, on both sides."""

    def __init__(self, shaped: Sequence[Shaped], features: Sequence[dict[str, Any]]) -> None:
        self.shaped = shaped
        self.properties = [each["properties"] for each in features]
        self.shapes = np.array([shape(each["geometry"]) for each in features], dtype=object)
        self.found: list[int | None] = [None] * len(shaped)
        self.taken: set[int] = set()

    def by_id(self) -> None:
        """Find zones by their ``zone_id``, whatever the case of its letters."""
        known = {
            each["zone_id"].lower(): index
            for index, each in enumerate(self.properties)
            if each.get("feature") == "zone"
        }
        for number, each in enumerate(self.shaped):
            if _has_id(each):
                self._pair(number, known.get(each.properties["zone_id"].lower()))

    def by_ground(self) -> None:
        """Find what lies in the same place, the closest pairs first; of those, the namesakes."""
        pairs = [
            (-round(alike, ALIKE_DIGITS), not self._namesakes(number, index), number, index)
            for number, index in self._near()
            if (alike := _alike(self.shaped[number].shape, self.shapes[index])) is not None
        ]
        for *_, number, index in sorted(pairs):
            self._pair(number, index)

    def _namesakes(self, number: int, index: int) -> bool:
        """Tell whether the plan and the site call the two the same."""
        here, there = self.shaped[number].properties, self.properties[index]
        return any(_plain(here.get(label)) == _plain(there.get(label)) != "" for label in LABELS)

    def by_label(self, label: str) -> None:
        """Find what is called the same, once here and once there, and has not moved away."""
        plan = _once(
            ((each.kind, each.properties.get(label)), number)
            for number, each in enumerate(self.shaped)
        )
        site = _once(
            ((each.get("feature"), each.get(label)), index)
            for index, each in enumerate(self.properties)
        )
        for key, number in plan.items():
            index = site.get(key)
            if index is None or _has_id(self.shaped[number]):
                continue
            if _meet(self.shaped[number].shape, self.shapes[index]):
                self._pair(number, index)

    def _pair(self, number: int, index: int | None) -> None:
        if index is not None and self.found[number] is None and index not in self.taken:
            self.found[number] = index
            self.taken.add(index)

    def _near(self) -> Iterable[tuple[int, int]]:
        """Return every pair of one kind whose boxes meet, of those that may be paired by ground."""
        if not len(self.shapes) or not self.shaped:
            return
        boxes = shapely.bounds(np.array([each.shape for each in self.shaped], dtype=object))
        reach = np.ones_like(boxes) * SAME_SPOT_M / M_A_DEGREE
        reach[:, ::2] /= np.maximum(np.cos(np.radians(boxes[:, 1::2])), 0.01)
        west, south, east, north = (boxes + reach * [-1, -1, 1, 1]).T
        pairs = shapely.STRtree(self.shapes).query(shapely.box(west, south, east, north))
        for number, index in pairs.T.tolist():
            each = self.shaped[number]
            if not _has_id(each) and self.properties[index].get("feature") == each.kind:
                yield number, index


def _has_id(each: Shaped) -> bool:
    return each.kind == "zone" and "zone_id" in each.properties


def _once(named: Iterable[tuple[tuple[Any, Any], int]]) -> dict[tuple[Any, str], int]:
    """Return the index of each (kind, label) that stands only once, labels as plain text."""
    plain = [((kind, _plain(label)), index) for (kind, label), index in named if _plain(label)]
    counts = Counter(key for key, _ in plain)
    return {key: index for key, index in plain if counts[key] == 1}


def _plain(label: Any) -> str:
    return "" if label is None else str(label).strip().casefold()


def _alike(one: BaseGeometry, other: BaseGeometry) -> float | None:
    """Return how much two shapes are the same, 1 for altogether; None when they are not."""
    # A sliver is hardly its own intersection with itself, in the digits there are.
    if shapely.equals_exact(one, other, normalize=True):
        return 1.0
    if _is_area(one) and _is_area(other):
        larger = max(one.area, other.area)
        share = float(shapely.intersection(one, other).area) / larger if larger else 0.0
        return share if share >= SAME_SHARE else None
    if one.geom_type != other.geom_type:
        return None
    apart = moved_m(one, other)
    return None if apart is None or apart > SAME_SPOT_M else 1.0 - apart


def _meet(one: BaseGeometry, other: BaseGeometry) -> bool:
    if _is_area(one) and _is_area(other):
        return bool(shapely.relate_pattern(one, other, "T********"))
    flat = about(one).flat(np.array([one, other], dtype=object))
    return bool(shapely.distance(*flat) <= NEAR_M)


def moved_m(one: BaseGeometry, other: BaseGeometry) -> float | None:
    """Return how far the farthest corner of either outer edge lies from the other's [m].

    None where the two have so many corners that finding out would take seconds; 0 where only holes
    came or went.
    """
    edges = np.array([_outer_edge(each) if _is_area(each) else each for each in (one, other)])
    if np.prod(shapely.get_num_coordinates(edges), dtype=float) > MOST_PAIRS:
        return None
    return float(shapely.hausdorff_distance(*about(one).flat(edges)))


def _outer_edge(area: BaseGeometry) -> BaseGeometry:
    rings = [part.exterior for part in shapely.get_parts(area)]
    edge: BaseGeometry = shapely.multilinestrings(rings)
    return edge


def _is_area(each: BaseGeometry) -> bool:
    return each.geom_type in {"Polygon", "MultiPolygon"}
