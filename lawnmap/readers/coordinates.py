"""Coordinates checked position by position, so that a bad one is named by its place.

Structure only: numbers, ranges, least counts, closed rings. Whether an outline crosses itself is
judged later, for every format alike.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE

if TYPE_CHECKING:
    from collections.abc import Sequence

WEST_EAST = 180.0
SOUTH_NORTH = 90.0
FARTHEST = 1e12  # units from zero: a national grid in millimetres is within a hundredth of it
LEAST = {"Point": 1, "LineString": 2, "Polygon": 4}


class Coordinates:
    """Checks the geometries of one file and counts their vertices.

    Parameters
    ----------
    lonlat : bool
        Whether positions are longitude and latitude in degrees, and so have a range.
    metres : str
        What to do when the numbers look like metres instead, after "This looks like metres:".
    """

    def __init__(self, *, lonlat: bool, metres: str = "") -> None:
        self.lonlat = lonlat
        self.metres = metres
        self.vertices = 0
        self.heights = False  # whether any height other than 0 was left out

    def checked(self, geometry: dict[str, Any], place: str) -> dict[str, Any] | None:
        """Return a geometry with plain lists of floats, x or longitude first; None when empty.

        Parameters
        ----------
        geometry : dict
            A GeoJSON geometry of one of the six kinds that have coordinates.
        place : str
            Where it stands, for messages.

        Raises
        ------
        InputRefused
            Naming part, ring and point.
        """
        kind = geometry["type"]
        value = geometry.get("coordinates")
        if _is_empty(value):
            return None
        single = kind.removeprefix("Multi")
        if single == kind:
            return {"type": kind, "coordinates": self._single(kind, value, place)}
        parts = [
            self._single(single, each, f"{place}, part {number}")
            for number, each in enumerate(_listed(value, place), 1)
        ]
        return {"type": kind, "coordinates": parts}

    def _single(self, kind: str, value: Any, place: str) -> list[Any]:
        if kind == "Point":
            return self._line(kind, [value], place)[0]
        if kind == "LineString":
            return self._line(kind, value, place)
        rings = _listed(value, place)
        if not rings:
            raise InputRefused("has no ring", place=place, remedy="Leave the empty part out.")
        return [self._ring(each, f"{place}, ring {number}") for number, each in enumerate(rings, 1)]

    def _ring(self, value: Any, place: str) -> list[list[float]]:
        ring = self._line("Polygon", value, place)
        if ring[0] != ring[-1]:
            raise InputRefused(
                "the ring does not end where it begins",
                place=place,
                remedy="Close it: the last point repeats the first.",
            )
        return ring

    def _line(self, kind: str, value: Any, place: str) -> list[list[float]]:
        positions = _listed(value, place)
        least = LEAST[kind]
        if len(positions) < least:
            raise InputRefused(
                f"has {len(positions)} of the {least} points that it needs at least",
                place=place,
                remedy="Draw it again.",
            )
        self.vertices += len(positions)
        if self.vertices > SITE.vertices:
            raise too_many()
        return [self._position(each, place, number) for number, each in enumerate(positions, 1)]

    def _position(self, value: Any, place: str, number: int) -> list[float]:
        where = f"{place}, point {number}"
        if not isinstance(value, list | tuple) or len(value) < 2:  # noqa: PLR2004 - x and y
            raise InputRefused("is not a pair of numbers", place=where, remedy="Correct the point.")
        for axis, each in zip(self._axes(), value, strict=False):
            # Exact types: true is an int to Python.
            if type(each) not in (int, float) or not math.isfinite(each):
                raise InputRefused(
                    f"{axis} is not a number", place=where, remedy="Correct the point."
                )
        x, y = float(value[0]), float(value[1])
        if self.lonlat and not (abs(x) <= WEST_EAST and abs(y) <= SOUTH_NORTH):
            raise self._out_of_range(x, y, where)
        if max(abs(x), abs(y)) > FARTHEST:
            raise InputRefused(
                f"{x:.6g}, {y:.6g} is nowhere on a plan", place=where, remedy="Correct the point."
            )
        self.heights = self.heights or any(value[2:3])
        return [x, y]

    def _axes(self) -> tuple[str, str, str]:
        return ("longitude", "latitude", "height") if self.lonlat else ("x", "y", "z")

    def _out_of_range(self, x: float, y: float, where: str) -> InputRefused:
        if abs(x) > 2 * WEST_EAST or abs(y) > 2 * SOUTH_NORTH:
            remedy = f"This looks like metres: {self.metres}"
        elif abs(x) <= SOUTH_NORTH:
            remedy = "Longitude comes first: are the two swapped?"
        else:
            remedy = "Correct the point."
        wrong = f"longitude {x:.12g}" if abs(x) > WEST_EAST else f"latitude {y:.12g}"
        return InputRefused(f"{wrong} is out of range", place=where, remedy=remedy)


def together(parts: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return geometries with those of one kind joined into one: a Multi of each kind there is."""
    if len(parts) == 1:
        return parts
    joined: dict[str, list[Any]] = {}
    for part in parts:
        kind = part["type"].removeprefix("Multi")
        several = kind != part["type"]
        joined.setdefault(kind, []).extend(
            part["coordinates"] if several else [part["coordinates"]]
        )
    return [
        {"type": kind, "coordinates": items[0]}
        if len(items) == 1
        else {"type": f"Multi{kind}", "coordinates": items}
        for kind, items in joined.items()
    ]


def too_many() -> InputRefused:
    """Return the refusal of a file with more vertices than the door admits."""
    return InputRefused(
        f"holds more than {SITE.vertices:,} vertices",
        remedy="Cut the plan down to the site, or split it.",
    )


def _listed(value: Any, place: str) -> Sequence[Any]:
    if not isinstance(value, list | tuple):
        raise InputRefused(
            "the coordinates are not nested as this geometry wants",
            place=place,
            remedy="Export the plan again.",
        )
    return value


def _is_empty(value: Any) -> bool:
    """Tell whether there is no number, however deep the brackets."""
    return isinstance(value, list | tuple) and all(_is_empty(each) for each in value)
