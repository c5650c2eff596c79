"""What must hold for each feature of a site file, whoever wrote it.

Shapes, ids and the types of known columns; whether an outline crosses itself is for the step that
brings it in. Ring direction is not looked at (RFC 7946, 3.1.6: readers should not reject it).
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from typing import Any

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.schema import ZONE_ID
from lawnmap.store.keys import FIRST_YEAR, LAST_YEAR

# How many lists lie around one position: RFC 7946, 3.1.
DEPTHS = {"Point": 0, "LineString": 1, "MultiLineString": 2, "Polygon": 2, "MultiPolygon": 3}
EAST, NORTH = 180, 90  # the highest longitude and latitude [degree]
SIZES = (2, 3)  # numbers in a position: RFC 7946, 3.1.1
LEAST_LINE = 2
LEAST_RING = 4
SHOWN = 40
DATES = {"fed_last", "sown_last", "date"}
FORM_OF_ID = "Use 1 to 32 letters, digits, _ and -, beginning with a letter or digit."

FACTS = {
    table: {column.name: column for column in schema.facts(table)}
    for table in ("zones", "features")
}


def whole(value: Any) -> bool:
    """Tell whether `value` is a whole number; true and false are not."""
    return type(value) is int


def is_day(value: str) -> bool:
    """Tell whether a text is a day written YYYY-MM-DD, of a year that can be counted from."""
    try:
        day = dt.date.fromisoformat(value)
    except ValueError:
        return False
    return day.isoformat() == value and FIRST_YEAR <= day.year <= LAST_YEAR


def finite(value: Any) -> bool:
    """Tell whether `value` is a finite number; true and false are not."""
    return type(value) is int or (type(value) is float and -math.inf < value < math.inf)


def on_earth(position: Sequence[float]) -> bool:
    """Tell whether finite numbers are a longitude and a latitude."""
    return abs(position[0]) <= EAST and abs(position[1]) <= NORTH


def check_features(features: Any) -> None:
    """Check every feature of a site.

    Raises
    ------
    InputRefused
        With the first feature that is wrong, and where.
    """
    if not isinstance(features, list):
        raise InputRefused("the member features is not a list")
    seen: dict[str, int] = {}
    for number, feature in enumerate(features, start=1):
        place = f"feature {number}"
        if not isinstance(feature, dict) or feature.get("type") != "Feature":
            raise InputRefused("is not a GeoJSON Feature", place=place)
        properties = feature.get("properties")
        if not isinstance(properties, dict):
            raise InputRefused("has no properties", place=place)
        kind = properties.get("feature")
        if not isinstance(kind, str) or kind not in schema.FEATURES:
            raise InputRefused(
                f"the property feature does not say what it is (found {_shown(kind)})",
                place=place,
                remedy=f"Set it to one of: {', '.join(schema.FEATURES)}.",
            )
        place = _place(number, kind, properties)
        if kind == "zone":
            _check_id(properties.get("zone_id"), number, place, seen)
        _check_geometry(feature.get("geometry"), kind, place)
        _check_facts(properties, kind, place)


def _place(number: int, kind: str, properties: Mapping[str, Any]) -> str:
    title = properties.get("name") or properties.get("zone_id")
    return f'feature {number}, {kind} "{title}"' if title else f"feature {number}, {kind}"


def _check_id(zone_id: Any, number: int, place: str, seen: dict[str, int]) -> None:
    if not isinstance(zone_id, str) or not ZONE_ID.fullmatch(zone_id):
        raise InputRefused(
            f"zone_id {_shown(zone_id)} is not a short name",
            place=place,
            remedy=FORM_OF_ID,
        )
    if zone_id in seen:
        raise InputRefused(
            f"zone_id {zone_id!r} is that of feature {seen[zone_id]} too",
            place=place,
            remedy="Give one of the two an id that was never used.",
        )
    seen[zone_id] = number


def _check_geometry(geometry: Any, kind: str, place: str) -> None:
    form = geometry.get("type") if isinstance(geometry, dict) else None
    if form not in schema.FEATURES[kind]:
        raise InputRefused(
            f"has the geometry {_shown(form)}, not {' or '.join(schema.FEATURES[kind])}",
            place=place,
        )
    _check_coordinates(geometry.get("coordinates"), form, DEPTHS[form], place)


def _check_coordinates(value: Any, form: str, depth: int, place: str) -> None:
    """Check nested lists down to lines, rings and points."""
    if depth == 0:
        if not _is_position(value):
            raise _bad_position(value, place)
    elif not isinstance(value, list) or not value:
        raise InputRefused("has empty coordinates, or none", place=place)
    elif depth == 1:
        _check_line(value, form, place)
    else:
        for part, each in enumerate(value, start=1):
            _check_coordinates(each, form, depth - 1, f"{place}, part {part}")


def _check_line(points: list[Any], form: str, place: str) -> None:
    for number, point in enumerate(points, start=1):
        if not _is_position(point):
            raise _bad_position(point, f"{place}, point {number}")
        if len(point) != len(points[0]):
            raise InputRefused(
                "has a height where others have none, or the other way round",
                place=f"{place}, point {number}",
            )
    if "Line" in form and len(points) < LEAST_LINE:
        raise InputRefused("the line has fewer than 2 points", place=place)
    if "Polygon" in form and len(points) < LEAST_RING:
        raise InputRefused("the ring has fewer than 4 points", place=place)
    if "Polygon" in form and points[0] != points[-1]:
        raise InputRefused("the ring is not closed", place=place)


def _is_position(value: Any) -> bool:
    return (
        type(value) is list and len(value) in SIZES and all(map(finite, value)) and on_earth(value)
    )


def _bad_position(value: Any, place: str) -> InputRefused:
    if not isinstance(value, list) or len(value) not in SIZES or not all(map(finite, value)):
        return InputRefused("is not a position of 2 or 3 numbers", place=place)
    hint = "; it looks like metres" if max(map(abs, value[:2])) > 2 * EAST else ""
    return InputRefused(f"is not a longitude and a latitude{hint}", place=place)


def _check_facts(properties: Mapping[str, Any], kind: str, place: str) -> None:
    """Check known columns, so that a table of them can always be made."""
    facts = FACTS["zones" if kind == "zone" else "features"]
    for name, value in properties.items():
        column = facts.get(name)
        if column is None or value is None or name == "feature":
            continue
        if column.unit and not _in_range(value, column):
            raise InputRefused(
                f"{name} is {_shown(value)}, not a number from {column.low:g} to {column.high:g}",
                place=place,
            )
        if not column.unit:
            _check_text(value, column, place)
        if column.words and value not in ("", *column.words):
            raise InputRefused(
                f"{name} is {_shown(value)}, not one of: {', '.join(column.words)}", place=place
            )


def _check_text(value: Any, column: schema.Column, place: str) -> None:
    """Check that a text is one, and that a day is a day: much is worked out from it."""
    if not isinstance(value, str):
        raise InputRefused(
            f"{column.name} is {_shown(value)}, not text",
            place=place,
            remedy="Put it in quotes, or leave it out.",
        )
    if column.name in DATES and value and not is_day(value):
        raise InputRefused(
            f"{column.name} is {_shown(value)}, not a day from {FIRST_YEAR} to {LAST_YEAR} written "
            "YYYY-MM-DD",
            place=place,
        )


def _in_range(value: Any, column: schema.Column) -> bool:
    low = -math.inf if column.low is None else column.low
    high = math.inf if column.high is None else column.high
    return finite(value) and low <= value <= high


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= SHOWN else text[: SHOWN - 1] + "…"
