"""The ground of a zone as a machine of one width sees it: where its middle goes, and what is left.

With `width` w, spacing s and n rounds along the edges, the middle of the machine walks the outline
of all points at least w/2 from the edge, and again s further in. What lies more than
w + (n − 1) · s from every edge is left for the lines. They run as far as w/2 around that rest,
which is just under the innermost round: at every corner the line still reaches whatever the round
leaves, and no centre line comes nearer to the edge than the rounds do.
"""

from __future__ import annotations

from typing import NamedTuple

import shapely
from shapely.geometry.base import BaseGeometry

SEGMENTS = 32  # to a quarter circle
RUN_SEGMENTS = 8  # where lines end under a round, which covers what a coarser circle lacks
LEAST_M2 = 1e-4  # a smaller region is the rounding of a buffer
NEAR_M = 5e-4  # nearer to the edge than it should be, from arcs in straight pieces: under 1 mm
SMOOTH_M = 3e-4  # by which a round may leave out corners of an arc
TRIES = 3


class Regions(NamedTuple):
    """The regions of one zone [m].

    Attributes
    ----------
    area : Polygon or MultiPolygon
        What is to be covered.
    reach : Polygon or MultiPolygon
        What a disc as wide as the machine can reach: the most that may be asked of it.
    rounds : tuple of LineString
        Centre lines along edges and obstacles, the outermost first; closed.
    rest : Polygon or MultiPolygon
        What the rounds leave for the lines; may be empty.
    run : Polygon or MultiPolygon
        Where the lines run.
    """

    area: BaseGeometry
    reach: BaseGeometry
    rounds: tuple[BaseGeometry, ...]
    rest: BaseGeometry
    run: BaseGeometry


def regions(area: BaseGeometry, width_m: float, step_m: float, rounds: int) -> Regions:
    """Return the regions for one working width.

    Parameters
    ----------
    area : Polygon or MultiPolygon
        In metres.
    width_m, step_m : float
        Working width, and from one line to the next [m].
    rounds : int
        Rounds along edges and obstacles, at least one.
    """
    half = width_m / 2
    middle = _within(area, half)
    ways = [middle, *(_within(area, half + each * step_m) for each in range(1, rounds))]
    rest = _within(area, width_m + (rounds - 1) * step_m)
    return Regions(
        area,
        _wider(middle, half, SEGMENTS),
        tuple(ring for way in ways for ring in _outlines(way)),
        rest,
        _wider(rest, half, RUN_SEGMENTS),
    )


def _within(area: BaseGeometry, distance_m: float) -> BaseGeometry:
    """Return what is at least so far from the edge; nothing smaller than rounding."""
    off, short = distance_m, 0.0
    inner = area
    for _ in range(TRIES):
        off += short
        inner = shapely.buffer(area, -off, quad_segs=SEGMENTS)
        if inner.is_empty:
            break
        short = distance_m - float(shapely.distance(area.boundary, inner))
        if short <= NEAR_M:
            break
    parts = shapely.get_parts(inner)
    return shapely.union_all(parts[shapely.area(parts) > LEAST_M2])


def _wider(area: BaseGeometry, distance_m: float, segments: int) -> BaseGeometry:
    """Return what is at most so far from the ground; never farther."""
    return shapely.buffer(area, distance_m, quad_segs=segments)


def _outlines(area: BaseGeometry) -> list[BaseGeometry]:
    rings = shapely.get_rings(shapely.get_parts(area))
    return [shapely.simplify(shapely.LineString(each.coords), SMOOTH_M) for each in rings]
