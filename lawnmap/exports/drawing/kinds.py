"""The kinds of feature that a legend explains: each way one is drawn, and what that is called."""

from __future__ import annotations

from collections import defaultdict
from typing import NamedTuple

import shapely

from lawnmap.exports.drawing.drawn import Drawing, points
from lawnmap.pages.words import known, word


class Kind(NamedTuple):
    """One way that a kind of feature is drawn: as a badge at a point, or by its shape."""

    label: str
    name: str
    point: bool


def kinds(drawn: Drawing) -> list[Kind]:
    """Return the kinds by label; one that is drawn in two ways says which is which."""
    found: dict[str, dict[bool, set[int]]] = defaultdict(lambda: defaultdict(set))
    for each in drawn.features:
        point = len(points(each.shape)) > 0
        found[each.kind][point].add(0 if point else int(shapely.get_dimensions(each.shape)))
    return sorted(
        Kind(_label(name, ways[point] if len(ways) > 1 else set()), name, point)
        for name, ways in found.items()
        for point in ways
    )


def _label(name: str, dimensions: set[int]) -> str:
    plain = known("feature", name)
    if not dimensions:
        return plain
    ways = ("feature.point", "feature.line", "feature.area")
    return word(ways[max(dimensions)], label=plain)
