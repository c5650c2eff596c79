"""Features as a hand on the map changes them: cut, merged, a bed cut out, a line shared."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon, mapping, shape
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.geometry import editing, validity
from lawnmap.processing.editing.descent import anew, keyed_anew, line_of
from lawnmap.processing.editing.keyed import Feature

MOST_CORNERS = 5_000  # of what is changed by hand in one stroke
IDENTITY = ("feature", "zone_id", "came_from")  # properties that are not facts to be merged
PHOTOS = "photos"


class OnMap(InputRefused):
    """A refusal that has a place on the map: the key of a feature, and longitude/latitude."""

    def __init__(
        self,
        problem: str,
        *,
        key: str | None = None,
        at: tuple[float, float] | None = None,
        **rest: str,
    ) -> None:
        super().__init__(problem, **rest)
        self.more = {"key": key, "at": None if at is None else list(at)}


class Ask(NamedTuple):
    """A fact that merged zones do not agree on, and what each says; None where one says nothing."""

    name: str
    values: list[Any]


def shape_of(feature: Any, key: str | None = None, *, most: int = SITE.vertices) -> BaseGeometry:
    """Return the shape of a feature that came from a page.

    Parameters
    ----------
    feature : GeoJSON feature
    key : str, optional
        For the refusal.
    most : int
        Corners that are taken.

    Raises
    ------
    OnMap
        When it is no GeoJSON feature with finite corners on the earth, or has too many of them.
    """
    if not isinstance(feature, Mapping) or not isinstance(feature.get("properties"), Mapping):
        raise OnMap("is not a GeoJSON feature", key=key)
    try:
        found: BaseGeometry = shape(feature["geometry"])
        corners = shapely.get_coordinates(found)
    except Exception as error:
        raise OnMap("has no outline that can be read", key=key) from error
    if len(corners) == 0:
        raise OnMap("has no corners", key=key, remedy="Draw it again.")
    if len(corners) > most:
        raise OnMap(
            f"has {len(corners):,} corners",
            key=key,
            remedy=f"At most {most:,} can be worked on here: cut it in its own program.",
        )
    if not (np.isfinite(corners).all() and (np.abs(corners) <= (180, 90)).all()):
        raise OnMap("does not lie on the earth", key=key, remedy="Draw it again.")
    return found


def outline_of(
    feature: Any, key: str | None = None, *, most: int = SITE.vertices
) -> Polygon | MultiPolygon:
    """Return the outline of a feature, sound and with an area; see :func:`shape_of`.

    Raises
    ------
    OnMap
        When it is none, or crosses itself: with the place.
    """
    found = shape_of(feature, key, most=most)
    if not isinstance(found, Polygon | MultiPolygon):
        raise OnMap("is not an outline", key=key, remedy="Choose a zone or a bed.")
    flaw = validity.flaw(found)
    if flaw is not None:
        raise OnMap(
            flaw.words, key=key, at=(flaw.x, flaw.y), remedy="Move its corners until it is sound."
        )
    return found


def with_shape(feature: Feature, outline: BaseGeometry) -> dict[str, Any]:
    """Return a feature with another shape, its rings as RFC 7946, 3.1.6 has them."""
    turned = shapely.orient_polygons(outline)
    kept = {name: each for name, each in feature.items() if name != "bbox"}
    return {**kept, "geometry": _lists(mapping(turned))}


def cut(
    feature: Feature, key: str, line: LineString, taken: Collection[str]
) -> dict[str, dict[str, Any]]:
    """Return the parts of a feature cut along a line, the largest first, by new key.

    Every part keeps the facts. A zone's id is not used again: each part gets a new one, and
    ``came_from`` the old, with those that the old one came from behind it.

    Parameters
    ----------
    feature : GeoJSON feature
    key : str
        Of the feature among those of the page.
    line : LineString
        Longitude/latitude [°].
    taken : collection of str
        Keys that are not to be used.

    Raises
    ------
    OnMap
        When the line does not cross it from edge to edge.
    """
    try:
        parts = editing.cut(outline_of(feature, key, most=MOST_CORNERS), line)
    except ValueError as error:
        raise _told(error, key, "Draw the line from outside to outside.") from error
    taken = {*taken, key}
    result = {}
    for number, part in enumerate(parts, start=1):
        properties = dict(feature["properties"])
        name = str(properties.get("name") or "")
        if name:
            properties["name"] = f"{name} {number}"
        made = keyed_anew(properties, f"{name or key} {number}", taken, line_of({key: feature}))
        result[made] = with_shape(anew(feature, properties), part)
    return result


def merge(
    features: Mapping[str, Feature], taken: Collection[str]
) -> tuple[dict[str, dict[str, Any]], list[Ask]]:
    """Return several features as one under a new key, and the facts they do not agree on.

    Raises
    ------
    OnMap
        When they are not of one kind, or do not hang together along an edge.
    """
    kinds = {str(each["properties"].get("feature")) for each in features.values()}
    if len(features) < 2 or len(kinds) != 1:  # noqa: PLR2004 - one alone is merged already
        raise OnMap("only two or more of one kind can be merged", remedy="Choose them again.")
    outlines = {k: outline_of(each, k, most=MOST_CORNERS) for k, each in features.items()}
    try:
        whole = editing.merge(list(outlines.values()))
    except ValueError as error:
        raise _told(error, None, "Move them together first, or merge fewer.") from error
    largest = max(outlines, key=lambda key: float(outlines[key].area))
    first = features[largest]
    agreed, asks = _agreed([each["properties"] for each in features.values()])
    properties = {"feature": kinds.pop(), **agreed}
    name = str(first["properties"].get("name") or largest)
    made = keyed_anew(properties, name, {*taken, *features}, line_of(features))
    return {made: with_shape(anew(first, properties), whole)}, asks


def cut_out(feature: Feature, key: str, bed: Polygon) -> dict[str, Any]:
    """Return a feature with a hole.

    Raises
    ------
    OnMap
        When the ring crosses itself, does not lie on it, or nothing would be left.
    """
    bed_feature = {"properties": {}, "geometry": mapping(bed)}
    try:
        left = editing.cut_out(outline_of(feature, key, most=MOST_CORNERS), bed_of(bed_feature))
    except ValueError as error:
        if isinstance(error, OnMap):
            raise
        raise _told(error, key, "Draw the bed on the lawn.") from error
    return with_shape(feature, left)


def bed_of(feature: Feature) -> Polygon:
    """Return the outline of what is to be cut out.

    Raises
    ------
    OnMap
        When it crosses itself or has several parts.
    """
    found = outline_of(feature)
    if not isinstance(found, Polygon):
        raise OnMap("the bed has several parts", remedy="Cut out one after the other.")
    return found


def share(
    feature: Feature, key: str, neighbours: Mapping[str, Feature], within_m: float
) -> dict[str, dict[str, Any]]:
    """Return a feature with its corners on its neighbours, and those that got corners for it.

    Parameters
    ----------
    feature : GeoJSON feature
        Of any geometry; holes and parts are treated alike.
    key : str
        Of the feature among those of the page.
    neighbours : mapping of str to GeoJSON feature
        Those without an area are left alone.
    within_m : float
        How near a corner has to be to be moved [m].
    """
    found = shape_of(feature, key, most=MOST_CORNERS)
    others = {k: each for k, each in neighbours.items() if k != key}
    shapes = {k: shape_of(each, k, most=MOST_CORNERS) for k, each in others.items()}
    areas = {k: each for k, each in shapes.items() if isinstance(each, Polygon | MultiPolygon)}
    moved = _moved(found, list(areas.values()), within_m)
    result = {}
    for other, outline in areas.items():
        if not isinstance(moved, Polygon | MultiPolygon):
            continue
        cornered = editing.with_corners_of(outline, moved)
        if cornered is not outline:
            result[other] = with_shape(neighbours[other], cornered)
        moved = editing.with_corners_of(moved, cornered)
    return {key: with_shape(feature, moved), **result}


def _moved(
    found: BaseGeometry, neighbours: list[Polygon | MultiPolygon], within_m: float
) -> BaseGeometry:
    def changed(corners: editing.Floats) -> editing.Floats:
        return editing.sharing(corners, neighbours, within_m)

    flat: BaseGeometry = shapely.transform(found, changed)
    return flat


def _agreed(rows: list[Mapping[str, Any]]) -> tuple[dict[str, Any], list[Ask]]:
    """Return the facts that all rows agree on, and those to be asked; photos are put together."""
    agreed: dict[str, Any] = {}
    asks = []
    for name in dict.fromkeys(name for row in rows for name in row):
        if name in IDENTITY:
            continue
        said = [None if row.get(name) == "" else row.get(name) for row in rows]
        values = [value for place, value in enumerate(said) if value not in said[:place]]
        if name == PHOTOS:
            lists = (value for value in said if isinstance(value, list))
            agreed[name] = list(dict.fromkeys(str(each) for photos in lists for each in photos))
        elif len(values) > 1:
            asks.append(Ask(name, values))
        elif values != [None]:
            agreed[name] = values[0]
    return agreed, asks


def _told(error: ValueError, key: str | None, remedy: str) -> InputRefused:
    return error if isinstance(error, InputRefused) else OnMap(str(error), key=key, remedy=remedy)


def _lists(value: Any) -> Any:
    """Return what shapely says of a geometry with lists for tuples, as JSON reads it back."""
    if isinstance(value, tuple | list):
        return [_lists(each) for each in value]
    return {k: _lists(each) for k, each in value.items()} if isinstance(value, dict) else value
