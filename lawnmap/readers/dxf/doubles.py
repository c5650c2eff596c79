"""The same ground drawn twice on one layer: an outline and its hatch, or a line on a line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from lawnmap.readers.dxf.pieces import Piece

ALIKE = 1e-3  # of its size: two programs cut one arc into different chords


def dropped(pieces: Sequence[Piece]) -> set[int]:
    """Return which outlines to leave out, by their place among `pieces`.

    A hatch stays, as it knows its holes; an outline that goes round it, or round one of its holes,
    is only its edge. Of two alike the first stays.
    """
    outlines = [n for n, piece in enumerate(pieces) if isinstance(piece.shape, shapely.Polygon)]
    hatches_first = sorted(outlines, key=lambda n: not pieces[n].hatch)
    # To the last digit alike, as copies are: told at once, however many there are.
    once: dict[bytes, int] = {}
    for n in hatches_first:
        once.setdefault(pieces[n].shape.wkb, n)
    order = list(once.values())
    rings, owners = _rings([pieces[n] for n in order])
    gone: set[int] = set()
    for a, b in _alike(rings):
        first, second = owners[a], owners[b]
        if first >= second or b != _outer(owners, second) or first in gone:
            continue
        one, other = pieces[order[first]], pieces[order[second]]
        edge = one.hatch and not other.hatch
        if edge or (a == _outer(owners, first) and _same(one.shape.area, other.shape.area)):
            gone.add(second)
    return set(outlines) - set(order) | {order[n] for n in gone}


def _rings(pieces: Sequence[Piece]) -> tuple[list[shapely.Polygon], list[int]]:
    """Return every ring filled, the outer one of each piece first, and whose it is."""
    rings, owners = [], []
    for owner, piece in enumerate(pieces):
        shape: Any = piece.shape
        for ring in (shape.exterior, *(shape.interiors if piece.hatch else ())):
            rings.append(shapely.Polygon(ring))
            owners.append(owner)
    return rings, owners


def _outer(owners: Sequence[int], owner: int) -> int:
    """Return the place of the outer ring of one owner; owners stand in rising order."""
    return int(np.searchsorted(owners, owner))


def _alike(rings: Sequence[shapely.Polygon]) -> list[tuple[int, int]]:
    """Return pairs of rings of one size, middle and extent, in rising order."""
    if not rings:
        return []
    areas = shapely.area(rings)
    bounds = shapely.bounds(rings)
    # The mean corner alone would not tell the two halves of a square apart from each other.
    middles = shapely.centroid(rings)
    reach = ALIKE * np.sqrt(areas)
    pairs = shapely.STRtree(middles).query(middles, predicate="dwithin", distance=reach)
    a, b = pairs[:, pairs[0] < pairs[1]]
    size = np.maximum(bounds[a, 2] - bounds[a, 0], bounds[a, 3] - bounds[a, 1])
    alike = (np.abs(areas[a] - areas[b]) <= ALIKE * areas[a]) & (
        np.abs(bounds[a] - bounds[b]).max(axis=1) <= ALIKE * size
    )
    return sorted(zip(a[alike].tolist(), b[alike].tolist(), strict=True))


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= ALIKE * one
