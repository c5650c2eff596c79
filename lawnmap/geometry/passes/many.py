"""Pass lines of very many zones at once: an estimate, all in arrays.

One zone is set out exactly by :func:`lawnmap.geometry.passes.laying.lay`. Here lines are counted
as they are there, with one round along the edges, and in a convex zone they are the same lines. In
a hollow one the heading is that of least width, where the exact setting out tries every degree: so
there are somewhat more bouts and turns here, of much the same length. The order of the bouts, and
so the way walked between them, is not worked out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely

from lawnmap.geometry.passes.headings import MOST_CROSSINGS, TIE, lines
from lawnmap.geometry.passes.regions import LEAST_M2, RUN_SEGMENTS
from lawnmap.geometry.passes.scanline import (
    Edges,
    Floats,
    Grid,
    Places,
    Shapes,
    edges,
    scan,
    turned,
)

POLYGON = 3  # what GEOS counts it as


class Counted(NamedTuple):
    """Pass lines of many zones, once over; see :class:`lawnmap.geometry.passes.laying.Laid`.

    Attributes
    ----------
    heading_deg : (n,) array
        Clockwise from north, 0 up to 180; NaN where there are no lines [°].
    bouts, turns : (n,) array of int
    length_m : (n,) array
        Of all bouts and of the round; 0 where the machine finds no room [m].
    """

    heading_deg: Floats
    bouts: Places
    turns: Places
    length_m: Floats


class Widths(NamedTuple):
    """Least width of each shape [m], and the heading to travel along it [°]; NaN for no area."""

    width_m: Floats
    heading_deg: Floats


def counted(
    areas: Shapes, width_m: Floats, *, overlap: float = 0.0, heading_deg: Floats | None = None
) -> Counted:
    """Count the pass lines of many zones, each with one round along its edges.

    Parameters
    ----------
    areas : (n,) array of Polygon or MultiPolygon
        Ground to cover, obstacles left out, in metres.
    width_m : (n,) array
        Working width of each zone's machine [m].
    overlap : float
        Share of it that is to be covered twice.
    heading_deg : (n,) array, optional
        One's own, clockwise from north; NaN for that of least width [°].
    """
    step_m = width_m * (1 - overlap)
    middle, rest = (shapely.buffer(areas, -far, quad_segs=RUN_SEGMENTS)
                    for far in (width_m / 2, width_m))  # fmt: skip
    rest[shapely.area(rest) <= LEAST_M2] = shapely.Polygon()
    run = shapely.buffer(rest, width_m / 2, quad_segs=RUN_SEGMENTS)
    heading = least_widths(np.where(shapely.is_empty(rest), areas, rest)).heading_deg
    if heading_deg is not None:
        heading = np.where(np.isnan(heading_deg), heading, heading_deg % 180)
    bouts, straight = _bouts(rest, run, heading, width_m, step_m)
    rounds = _rings(middle)
    turns = np.maximum(bouts + rounds - 1, 0)
    return Counted(np.where(rounds > 0, heading, np.nan), bouts, turns,
                   straight + shapely.length(middle))  # fmt: skip


def least_widths(shapes: Shapes) -> Widths:
    """Return the least width of many shapes: rotating calipers on the edges of all hulls at once.

    It is :func:`lawnmap.geometry.passes.headings.least_width` over arrays.

    Examples
    --------
    >>> slope = [(0, 0), (12, 0), (2, 6)]
    >>> found = least_widths(shapely.polygons([slope, [(y, x) for x, y in slope]]))
    >>> found.width_m.round(6).tolist(), found.heading_deg.round(6).tolist()
    ([6.0, 6.0], [90.0, 0.0])
    """
    hulls = shapely.orient_polygons(shapely.convex_hull(shapes))
    hulls[shapely.get_type_id(hulls) != POLYGON] = shapely.Polygon()
    points, owner = shapely.get_coordinates(hulls, return_index=True)
    closing = np.append(owner[1:] != owner[:-1], True)[: len(owner)]
    along = np.diff(points, axis=0, append=points[:1])[~closing]
    points, owner = points[~closing], owner[~closing]
    found = Widths(np.full(len(shapes), np.nan), np.full(len(shapes), np.nan))
    if not len(owner):
        return found
    first = np.flatnonzero(np.append(True, owner[1:] != owner[:-1]))
    many = np.diff(np.append(first, len(owner)))
    across, length = _across(points, along, first, many), np.hypot(*along.T)
    least = np.minimum.reduceat(across, first)
    tied = np.where(across <= np.repeat(least * (1 + TIE), many), length, -1.0)
    longest = np.flatnonzero(tied == np.repeat(np.maximum.reduceat(tied, first), many))
    edge = longest[np.searchsorted(longest, first)]
    has = owner[first]
    found.width_m[has] = least
    found.heading_deg[has] = np.degrees(np.arctan2(*along[edge].T)) % 180
    return found


def _across(points: Floats, along: Floats, first: Places, many: Places) -> Floats:
    """Return how far the farthest corner of its hull is from each edge [m].

    Parameters
    ----------
    points, along : (m, 2) array
        Where each edge begins and how it goes on, counter-clockwise, hull after hull.
    first, many : (n,) array of int
        The first edge of each hull, and how many it has.
    """
    circle = 2 * np.pi
    hull, begins = np.repeat(np.arange(len(first)), many), np.repeat(first, many)
    angle = np.arctan2(along[:, 1], along[:, 0])
    ahead = np.append((np.diff(angle) + np.pi) % circle - np.pi, 0.0)
    turn = np.cumsum(ahead) - ahead  # since the very first edge
    turn -= turn[begins]
    # That corner begins the first edge that has turned by half a circle. It is looked up in all
    # hulls at once, each in a range of its own; rounding may put it one aside.
    near = np.searchsorted(turn + 2 * circle * hull, (turn + np.pi) % circle + 2 * circle * hull)
    found = np.zeros(len(points))
    for aside in (-1, 0, 1):
        away = points[begins + (near + aside - begins) % np.repeat(many, many)] - points
        found = np.maximum(found, np.abs(along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0]))
    return np.asarray(found / np.hypot(*along.T))


def _bouts(
    rest: Shapes, run: Shapes, heading_deg: Floats, width_m: Floats, step_m: Floats
) -> tuple[Places, Floats]:
    """Return how many bouts each zone has and how long they are in all [m]."""
    bouts, straight = np.zeros(len(rest), dtype=np.intp), np.zeros(len(rest))
    has = np.flatnonzero(~shapely.is_empty(rest))
    if not len(has):
        return bouts, straight
    inner, outer = edges(rest[has]), edges(run[has])
    heading = heading_deg[has]
    y = turned(inner.ends[:, 0], heading[inner.owner])[:, 1]
    begins = np.searchsorted(inner.owner, np.arange(len(has)))
    near, far = np.minimum.reduceat(y, begins), np.maximum.reduceat(y, begins)
    grid = lines(np.column_stack([near, far]), width_m[has], step_m[has])
    ends = turned(outer.ends, heading[outer.owner][:, None])
    for chosen, begin, end in _blocks(ends, outer.owner, grid):
        here = Edges(ends[chosen], outer.owner[chosen] - begin)
        there = grid.first[begin:end], grid.step[begin:end], grid.many[begin:end]
        pieces = scan(here, Grid(*there))
        place = has[begin:end]
        bouts[place] = np.bincount(pieces.owner, minlength=len(place))
        straight[place] = np.bincount(pieces.owner, pieces.right - pieces.left, len(place))
    return bouts, straight


def _blocks(ends: Floats, owner: Places, grid: Grid) -> Iterator[tuple[slice, int, int]]:
    """Yield edges, and the first and last of their zones, with about MOST_CROSSINGS of lines."""
    zones = len(grid.step)
    crossed = np.abs(ends[:, 1, 1] - ends[:, 0, 1]) / grid.step[owner] + 1
    total = np.cumsum(np.bincount(owner, crossed, zones))
    block = (total / MOST_CROSSINGS).astype(np.intp)
    cuts = np.flatnonzero(np.diff(block, prepend=-1))
    for begin, end in zip(cuts.tolist(), [*cuts[1:].tolist(), zones], strict=True):
        yield slice(*np.searchsorted(owner, [begin, end])), begin, end


def _rings(shapes: Shapes) -> Places:
    """Return how many outlines each shape has, those of its holes included."""
    parts, owner = shapely.get_parts(shapes, return_index=True)
    rings = np.where(shapely.is_empty(parts), 0, 1 + shapely.get_num_interior_rings(parts))
    return np.bincount(owner, rings, len(shapes)).astype(np.intp)
