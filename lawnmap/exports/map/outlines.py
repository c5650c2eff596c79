"""The outlines of very many zones as flat lists of whole numbers.

A corner is a step from the one before, since small numbers are short.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.exports.drawing.drawn import CENTIMETRES, Drawing, Floats, Shapes

POLYGON = 3  # what GEOS counts it as


def outlines(drawn: Drawing) -> dict[str, Any]:
    """Return middles and corners of at least one zone, as steps from the first one's middle.

    Returns
    -------
    dict
        ``whole``: how many parts a degree, or a metre of a flat map, has; ``origin``: the first
        middle in such parts, north before east; ``at``: steps to the middles; ``radius`` of the
        place for a number [cm]; ``shapes`` with ``steps`` to the corners and ``counts``, how many
        corners a zone has: one number, or one a ring in a list a polygon.
    """
    parts, zone_of = shapely.get_parts(drawn.zones, return_index=True)
    kept = (shapely.get_type_id(parts) == POLYGON) & ~shapely.is_empty(parts)
    parts, zone_of = parts[kept], zone_of[kept]
    rings, part_of = shapely.get_rings(parts, return_index=True)
    corners = drawn.numbers(_corners(rings))
    middles = drawn.numbers(drawn.points)
    start = middles[:1]
    lengths = shapely.get_num_coordinates(rings) - 1
    return {
        "whole": drawn.whole,
        "origin": start[0].tolist(),
        "at": _steps(start, middles),
        "radius": np.rint(drawn.radii * 10**CENTIMETRES).astype(int).tolist(),
        "shapes": {
            "counts": _counts(len(drawn.zones), zone_of[part_of], part_of, lengths),
            "steps": _steps(start, corners),
        },
    }


def _corners(rings: Shapes) -> Floats:
    """Return the corners of rings without their closing points [m]."""
    found, ring_of = shapely.get_coordinates(rings, return_index=True)
    closing = np.append(ring_of[1:] != ring_of[:-1], [True] if len(ring_of) else [])
    return np.asarray(found[~closing.astype(bool)])


def _steps(start: npt.NDArray[np.int64], places: npt.NDArray[np.int64]) -> list[int]:
    steps: list[int] = np.diff(places, axis=0, prepend=start).ravel().tolist()
    return steps


def _counts(
    zones: int,
    zone_of: npt.NDArray[np.integer[Any]],
    part_of: npt.NDArray[np.integer[Any]],
    lengths: npt.NDArray[np.integer[Any]],
) -> list[Any]:
    found: list[dict[int, list[int]]] = [{} for _ in range(zones)]
    for zone, part, many in zip(zone_of.tolist(), part_of.tolist(), lengths.tolist(), strict=True):
        found[zone].setdefault(part, []).append(many)
    nested = [list(each.values()) for each in found]
    return [each[0][0] if len(each) == 1 and len(each[0]) == 1 else each for each in nested]
