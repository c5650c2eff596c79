"""Where the two ends of a walk meet, when the walker went on past the beginning.

The figures are common practice without a source; docs/plans/walk.md states the rule.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely
from shapely.ops import substring

from lawnmap.geometry.sides import meetings

Floats = npt.NDArray[np.float64]

ENDS = 0.15  # of the length: where the two ends of a walk may overlap
BESIDE_M = 2.0  # an overshoot stays so near to the first side, or to 1.5 times the gap
NEAREST_M = 5.0  # the ends of an overshooting walk pass at most so far from each other
SEEN_M = 0.01  # anything less is a matter of rounding
MOST_CORNERS, MOST_CROSSINGS = 10_000, 100  # more is no walk round a lawn
LEAST_M = 0.3  # less beyond the beginning is not worth telling


def without_overshoot(points: Floats) -> Floats | None:
    """Return a walk cut where its end meets its beginning, or None when it does not walk on past.

    Cut is where the end of the walk first crosses the beginning, or else, where the end walks on
    beside the first side, at its nearest approach to the first point.

    Parameters
    ----------
    points : (n, 2) array
        Metres, cleaned.
    """
    walk = shapely.LineString(points)
    if not 4 <= len(points) <= MOST_CORNERS or not walk.length:  # noqa: PLR2004 - a way round and back
        return None
    head, tail = _part(walk, 0, ENDS), _part(walk, 1 - ENDS, 1)
    first, last = shapely.get_coordinates(head), shapely.get_coordinates(tail)
    if meetings(first, last, MOST_CROSSINGS) > MOST_CROSSINGS:
        return None
    meet = shapely.get_coordinates(head.intersection(tail))
    return _crossed(walk, head, tail, meet) if len(meet) else _beside(walk, head, tail)


def _part(walk: shapely.LineString, start: float, end: float) -> shapely.LineString:
    return shapely.LineString(
        shapely.get_coordinates(substring(walk, start * walk.length, end * walk.length))
    )


def _crossed(
    walk: shapely.LineString, head: shapely.LineString, tail: shapely.LineString, meet: Floats
) -> Floats | None:
    """Return the walk from and to where its end first crosses its beginning."""
    along = [tail.project(shapely.Point(place)) for place in meet]
    first = int(np.argmin(along))
    start = head.project(shapely.Point(meet[first]))
    end = walk.length - tail.length + along[first]
    if start + walk.length - end < SEEN_M:
        return None
    cut: Floats = shapely.get_coordinates(substring(walk, start, end))
    cut[0] = cut[-1] = meet[first]
    return cut


def _beside(
    walk: shapely.LineString, head: shapely.LineString, tail: shapely.LineString
) -> Floats | None:
    """Return the walk up to where it passes its first point, if it then goes on beside it."""
    begin, last = shapely.Point(walk.coords[0]), shapely.Point(walk.coords[-1])
    nearest, at = begin.distance(tail), tail.project(begin)
    beyond = substring(tail, at, tail.length)
    if nearest > min(begin.distance(last) / 2, NEAREST_M) or beyond.length < LEAST_M:
        return None
    aside = max(head.distance(shapely.Point(place)) for place in beyond.coords)
    if aside > max(BESIDE_M, 1.5 * nearest):
        return None
    cut: Floats = shapely.get_coordinates(substring(walk, 0, walk.length - tail.length + at))
    return cut
