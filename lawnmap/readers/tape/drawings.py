"""What a tape sheet draws through its points: outlines, lines and spots as features."""

from __future__ import annotations

from collections import Counter
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.errors import InputRefused
from lawnmap.found import Feature
from lawnmap.geometry.offsets import area_by_coordinates, crossing
from lawnmap.readers import attributes
from lawnmap.readers.tape.sheet import Drawing
from lawnmap.readers.tape.survey import Survey

Floats = npt.NDArray[np.float64]

SHAPES = {"outline": "Polygon", "line": "LineString", "spot": "Point"}
DECIMALS = 7  # of a metre
LEAST = {"outline": 3, "line": 2, "spot": 1}


class Drawn(NamedTuple):
    """One thing drawn: several rows of one zone are one outline.

    Attributes
    ----------
    kind : str
        ``outline``, ``line`` or ``spot``.
    points : list of str
        In the order walked; an outline does not repeat its first.
    properties : dict
        Name, kind of feature and note.
    place : str
        Where it stands, for messages.
    """

    kind: str
    points: list[str]
    properties: dict[str, Any]
    place: str

    @property
    def is_zone(self) -> bool:
        """Whether it is a zone of lawn."""
        return bool(self.properties["feature"] == "zone")


def drawn(drawings: list[Drawing]) -> list[Drawn]:
    """Return what is drawn, rows of one zone and feature joined in their order.

    Raises
    ------
    InputRefused
        With the line, when there are too few points, or a point comes twice.
    """
    joined: dict[tuple[object, ...], list[Drawing]] = {}
    for index, each in enumerate(drawings):
        name = each.cells.get("zone", "")
        single = each.kind == "spot" or not name
        key = (each.kind, name, _kind(each), index if single else None)
        joined.setdefault(key, []).append(each)
    return [_joined(parts) for parts in joined.values()]


def feature(each: Drawn, survey: Survey) -> Feature:
    """Return one thing drawn as a feature in local metres.

    Raises
    ------
    InputRefused
        When two sides of an outline cross.
    """
    corners = survey.places(each.points).round(DECIMALS) + 0.0  # no minus zero
    if each.kind == "spot":
        return Feature(
            {"type": "Point", "coordinates": corners[0].tolist()}, each.properties, each.place
        )
    if each.kind == "line":
        line = {"type": "LineString", "coordinates": corners.tolist()}
        return Feature(line, each.properties, each.place)
    _check_crossing(each, corners)
    properties = dict(each.properties)
    if each.is_zone:
        numbers = np.array([survey.numbers[name] for name in each.points])
        properties["outline_source"] = "tape"
        properties["outline_sigma_m"] = round(survey.adjustment.corner_sigma(numbers), 4)
    ring = [*corners.tolist(), corners[0].tolist()]
    return Feature({"type": "Polygon", "coordinates": [ring]}, properties, each.place)


def area_m2(each: Drawn, survey: Survey) -> float:
    """Return the area of an outline [m²]; 0 for anything else."""
    if each.kind != "outline":
        return 0.0
    corners = survey.places(each.points)
    _check_crossing(each, corners)
    return area_by_coordinates(corners)


def _joined(parts: list[Drawing]) -> Drawn:
    first = parts[0]
    points = [name for part in parts for name in part.points]
    if first.kind == "outline" and len(points) > 1 and points[0] == points[-1]:
        points.pop()
    properties = _properties(parts)
    place = attributes.place("line", first.line, properties)
    if len(points) < LEAST[first.kind] or (first.kind == "spot" and len(points) > 1):
        raise InputRefused(
            f"the {first.kind} has {len(points)} point{'s' * (len(points) != 1)}",
            place=place,
            remedy="An outline takes three or more, a line two or more, a spot one.",
        )
    twice = [name for name, times in Counter(points).items() if times > 1]
    if twice:
        raise InputRefused(
            f"the {first.kind} comes to {twice[0]} twice",
            place=place,
            remedy="Name each corner once, in the order walked; a second outline needs its own "
            "zone name.",
        )
    return Drawn(first.kind, points, properties, place)


def _kind(drawing: Drawing) -> str | None:
    """Return what it is: an outline is a zone unless it says otherwise."""
    said = drawing.cells.get("feature", "").lower()
    return said or ("zone" if drawing.kind == "outline" else None)


def _properties(parts: list[Drawing]) -> dict[str, Any]:
    notes = [part.cells["note"] for part in parts if part.cells.get("note")]
    given = {"name": parts[0].cells.get("zone") or None, "feature": _kind(parts[0])}
    if notes:
        given["private_note"] = "; ".join(notes)  # what was jotted down is not for everybody
    return attributes.clean(given)[0]


def _check_crossing(each: Drawn, corners: Floats) -> None:
    sides = crossing(corners)
    if sides is None:
        return
    names = [
        f"{each.points[side]} to {each.points[(side + 1) % len(each.points)]}" for side in sides
    ]
    raise InputRefused(
        f"its sides {names[0]} and {names[1]} cross",
        place=each.place,
        remedy="Give the corners in the order walked, and check their measures.",
    )
