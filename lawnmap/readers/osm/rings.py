"""Areas made of several ways: rings joined end to end, and which of them are holes.

The rules are those of the OpenStreetMap wiki, page "Relation:multipolygon": ways of one ring share
their end nodes, in any order and direction; rings do not cross; what is a hole is told by where a
ring lies, and only then by its role.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import chain
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

LEAST = 4  # nodes of a ring, the first one counted again at its end
MOST_RINGS = 500  # of one area: each is compared with all the others
MOST_JOINED = 1_000  # vertices of an area whose holes may be joined here; lines can cross n² times

Line = tuple[int, ...]
Ring = list[list[float]]


def joined(lines: Sequence[Line]) -> list[Line] | None:
    """Return rings of nodes from lines of nodes; None when some do not close.

    Parameters
    ----------
    lines : sequence of tuple of int
        The nodes of each way, in any order and direction.

    Examples
    --------
    >>> joined([(1, 2, 3), (1, 4, 3)])
    [(1, 4, 3, 2, 1)]
    >>> joined([(1, 2, 3), (3, 4)]) is None
    True
    """
    rings = [line for line in lines if line[0] == line[-1]]
    open_lines = [line for line in lines if line[0] != line[-1]]
    at_end: dict[int, list[int]] = defaultdict(list)
    for index, line in enumerate(open_lines):
        at_end[line[0]].append(index)
        at_end[line[-1]].append(index)
    used = [False] * len(open_lines)
    for first in range(len(open_lines)):
        if used[first]:
            continue
        found = _walked(first, open_lines, at_end, used)
        if found is None:
            return None
        rings += found
    return rings if all(len(ring) >= LEAST for ring in rings) else None


def _walked(
    first: int, lines: list[Line], at_end: dict[int, list[int]], used: list[bool]
) -> list[Line] | None:
    """Walk on from one line until every loop of the walk is closed; cut each off as a ring.

    Where rings touch in a node there are several ways on. Whichever is taken, coming back to a node
    closes a loop that meets itself nowhere else.
    """
    rings: list[Line] = []
    path: list[Line] = []
    here = lines[first][0]
    joints = [here]  # one more than lines in the path
    step = {here: 0}  # how many lines of the path come before each of its joints
    while True:
        on = _left(at_end[here], used)
        if on is None:
            return None
        used[on] = True
        path.append(lines[on] if lines[on][0] == here else lines[on][::-1])
        here = path[-1][-1]
        if here not in step:
            step[here] = len(path)
            joints.append(here)
            continue
        begun = step[here]
        rings.append((*chain.from_iterable(piece[:-1] for piece in path[begun:]), here))
        for joint in joints[begun + 1 :]:
            del step[joint]
        del path[begun:], joints[begun + 1 :]
        if not path:
            return rings


def _left(at: list[int], used: list[bool]) -> int | None:
    """Return a line at a joint that is not used yet; used ones are dropped for good."""
    while at and used[at[-1]]:
        at.pop()
    return at[-1] if at else None


def nested(rings: Sequence[Ring]) -> tuple[dict[str, Any], list[bool]]:
    """Return the area that rings bound, and of each ring whether it is a hole.

    Parameters
    ----------
    rings : sequence of ring
        Closed lists of positions that do not cross.

    Returns
    -------
    geometry : dict
        A GeoJSON Polygon or MultiPolygon.
    holes : list of bool
        A ring within an odd number of others is a hole.
    """
    around = _around([shapely.Polygon(ring) for ring in rings])
    depths = [len(each) for each in around]
    parts = {index: [rings[index]] for index, depth in enumerate(depths) if depth % 2 == 0}
    for index, depth in enumerate(depths):
        if depth % 2:
            parts[max(around[index], key=lambda other: depths[other])].append(rings[index])
    polygons = [_sound(part) for part in parts.values()]
    coordinates = [each for polygon in polygons for each in polygon]
    geometry = (
        {"type": "Polygon", "coordinates": coordinates[0]}
        if len(coordinates) == 1
        else {"type": "MultiPolygon", "coordinates": coordinates}
    )
    return geometry, [depth % 2 == 1 for depth in depths]


def _around(rings: list[shapely.Polygon]) -> list[list[int]]:
    """Return the rings that each ring lies in."""
    polygons: npt.NDArray[np.object_] = np.array(rings, dtype=object)
    areas = shapely.area(polygons)
    sound = shapely.is_valid(polygons)
    points = shapely.get_point(shapely.get_exterior_ring(polygons), 0)
    points[sound] = shapely.point_on_surface(polygons[sound])
    around: list[list[int]] = [[] for _ in rings]
    tree = shapely.STRtree(points)
    # A point in the larger ring may also lie in the smaller one: only larger ones lie around.
    for outside, inside in zip(*tree.query(polygons, predicate="contains").tolist(), strict=True):
        if areas[outside] > areas[inside]:
            around[inside].append(outside)
    return around


def _sound(rings: list[Ring]) -> list[list[Ring]]:
    """Return polygons of one outline and its holes, holes side by side joined into one.

    Whatever else is wrong is left as it is: the outline is judged later, with every other one.
    """
    whole = shapely.Polygon(rings[0], rings[1:])
    several = len(rings) > 2  # noqa: PLR2004 - an outline and two holes
    if several and shapely.get_num_coordinates(whole) <= MOST_JOINED and not whole.is_valid:
        outline = shapely.Polygon(rings[0])
        holes = [shapely.Polygon(ring) for ring in rings[1:]]
        if outline.is_valid and all(hole.is_valid and outline.covers(hole) for hole in holes):
            left = shapely.difference(outline, shapely.union_all(holes))
            parts = [part for part in shapely.get_parts(left) if part.geom_type == "Polygon"]
            return [[_listed(ring) for ring in shapely.get_rings(part)] for part in parts]
    return [rings]


def _listed(ring: shapely.LinearRing) -> Ring:
    positions: Ring = shapely.get_coordinates(ring).tolist()
    return positions
