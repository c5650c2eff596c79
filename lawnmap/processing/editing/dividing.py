"""A zone divided along a line that was worked out, as a hand would cut it on the map."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, NamedTuple

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from lawnmap.processing.editing.descent import anew, keyed_anew, line_of
from lawnmap.processing.editing.keyed import Feature
from lawnmap.processing.editing.marking import OnMap, outline_of, with_shape

Outline = Polygon | MultiPolygon

CRUMB = 1e-9  # of a part, that is only what is left of rounding


class Side(NamedTuple):
    """What one part is to be: the name its id is made from, and facts that differ.

    A fact that is None is taken away.
    """

    called: str
    facts: Mapping[str, Any]


def parts(outline: Outline, area: Outline) -> tuple[Outline, Outline]:
    """Return what of an outline lies in an area, and the rest.

    Corners of the outline stay the doubles they were.

    Raises
    ------
    ValueError
        When one of the two would be nothing.
    """
    found = [
        _outline(shape, outline.area)
        for shape in (shapely.intersection(outline, area), shapely.difference(outline, area))
    ]
    within, without = found
    if within is None or without is None:
        raise ValueError("the line leaves nothing on one side")
    return within, without


def divide(
    feature: Feature,
    key: str,
    area: Outline,
    sides: tuple[Side, Side],
    taken: Collection[str],
) -> dict[str, dict[str, Any]]:
    """Return the two parts of a zone by new key: what lies in an area, and the rest.

    Both keep the facts, but for those that `sides` have otherwise. The zone's id is not used again:
    each part gets a new one, and ``came_from`` the old.

    Parameters
    ----------
    feature : GeoJSON feature
    key : str
        The zone's id.
    area : Polygon or MultiPolygon
        Longitude/latitude.
    sides : two of Side
        Of the part in the area, and of the rest.
    taken : collection of str
        Ids that are in use.

    Raises
    ------
    OnMap
        When one part would be nothing.
    """
    try:
        shapes = parts(outline_of(feature, key), area)
    except ValueError as error:
        if isinstance(error, OnMap):
            raise
        raise OnMap(str(error), key=key, remedy="Leave the zone whole.") from error
    used, result = {*taken, key}, {}
    for shape, side in zip(shapes, sides, strict=True):
        facts = {**feature["properties"], **side.facts}
        properties = {name: each for name, each in facts.items() if each is not None}
        made = keyed_anew(properties, side.called, used, line_of({key: feature}))
        result[made] = with_shape(anew(feature, properties), shape)
    return result


def _outline(shape: BaseGeometry, whole: float) -> Outline | None:
    """Return the polygons of a shape without crumbs; None when there are none."""
    kept = [
        each
        for each in shapely.get_parts(shape)
        if isinstance(each, Polygon) and each.area > CRUMB * whole
    ]
    if not kept:
        return None
    return kept[0] if len(kept) == 1 else MultiPolygon(kept)
