"""What the page sends, taken apart: each part is what it has to be, or is refused in words."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Mapping
from typing import Any

from shapely.geometry import LineString, Polygon

from lawnmap.errors import InputRefused
from lawnmap.processing.editing.keyed import Changes, Feature
from lawnmap.processing.editing.marking import MOST_CORNERS
from lawnmap.store.features import finite, on_earth, whole

LONGEST_M = 5_000.0  # of a side: the local frame is good to a millimetre that far
MOST_STROKE = 500  # corners of a line drawn by hand
LONGEST_KEY = 200


class Body:
    """The JSON object that came with a request."""

    def __init__(self, given: Any) -> None:
        if not isinstance(given, dict):
            raise InputRefused("the request is not an object")
        self.given: Mapping[str, Any] = given

    def text(self, name: str, default: str | None = None) -> str:
        """Return a short text."""
        value = self.given.get(name, default)
        if not isinstance(value, str) or (name != "data" and len(value) > LONGEST_KEY):
            raise _bad(name, "a short text")
        return value

    def whole(self, name: str) -> int:
        """Return a whole number."""
        value = self.given.get(name)
        if not whole(value):
            raise _bad(name, "a whole number")
        return int(value)  # type: ignore[arg-type]

    def number(self, name: str, most: float, *, least: float | None = None) -> float:
        """Return a number of at most `most` either way, or from `least` on."""
        value = self.given.get(name)
        low = -most if least is None else least
        if not finite(value) or not low <= value <= most:  # type: ignore[operator]
            raise _bad(name, f"a number from {low:g} to {most:g}")
        return float(value)  # type: ignore[arg-type]

    def position(self, name: str) -> tuple[float, float]:
        """Return a longitude and a latitude."""
        return _position(self.given.get(name), name)

    def line(self, name: str) -> LineString:
        """Return a line drawn by hand."""
        return LineString(self._positions(name, 2, MOST_STROKE))

    def ring(self, name: str) -> Polygon:
        """Return a ring drawn by hand, closed or not."""
        return Polygon(self._positions(name, 3, MOST_CORNERS))

    def feature(self, name: str = "feature") -> Feature:
        """Return a GeoJSON feature; its shape is not looked at yet."""
        return _feature(self.given.get(name), name)

    def features(self, name: str) -> dict[str, Feature]:
        """Return GeoJSON features by key."""
        return {key: _feature(each, name) for key, each in self._by_key(name).items()}

    def changes(self, name: str = "changes") -> Changes:
        """Return GeoJSON features by key; None for one that is taken away."""
        found = self._by_key(name)
        return {k: None if each is None else _feature(each, name) for k, each in found.items()}

    def choices(self, name: str = "choices") -> dict[str, dict[str, str]]:
        """Return "mine" or "theirs" by key and field; nothing when it is left out."""
        found = self._by_key(name) if name in self.given else {}
        for fields in found.values():
            sides = fields.values() if isinstance(fields, dict) else [None]
            if any(side not in ("mine", "theirs") for side in sides):
                raise _bad(name, '"mine" or "theirs" by key and field')
        return found

    def taken(self, name: str = "taken") -> set[str]:
        """Return the ids and keys that are not free."""
        found = self.given.get(name, [])
        if not isinstance(found, list) or not all(isinstance(each, str) for each in found):
            raise _bad(name, "a list of texts")
        return set(found)

    def data(self, name: str = "data") -> bytes:
        """Return bytes that came as base64."""
        try:
            return base64.b64decode(self.text(name), validate=True)
        except (binascii.Error, ValueError) as error:
            raise _bad(name, "base64") from error

    def _by_key(self, name: str) -> dict[str, Any]:
        found = self.given.get(name)
        if not isinstance(found, dict) or any(len(key) > LONGEST_KEY for key in found):
            raise _bad(name, "an object by key")
        return found

    def _positions(self, name: str, least: int, most: int) -> list[tuple[float, float]]:
        found = self.given.get(name)
        if not isinstance(found, list) or not least <= len(found) <= most:
            raise _bad(name, f"a list of {least} to {most:,} positions")
        return [_position(each, name) for each in found]


def _feature(value: Any, name: str) -> Feature:
    good = (
        isinstance(value, dict)
        and isinstance(value.get("properties"), dict)
        and isinstance(value.get("geometry"), dict)
    )
    if not good:
        raise _bad(name, "a GeoJSON feature")
    return value  # type: ignore[no-any-return]


def _position(value: Any, name: str) -> tuple[float, float]:
    flat = isinstance(value, list) and len(value) in {2, 3} and all(map(finite, value))
    if not flat or not on_earth(value):
        raise _bad(name, "a longitude and a latitude")
    return float(value[0]), float(value[1])


def _bad(name: str, wanted: str) -> InputRefused:
    return InputRefused(f"is not {wanted}", place=name)
