"""Loose lines and arcs joined end to end: rings where they close, open lines where they do not.

Ends that lie exactly together are one. A gap that is narrower than a pencil line is closed and
told; a wider one is told with its size and place, and left open.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import chain
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.readers.dxf.curves import Floats

EXACT = 1e-9  # of the size of the lines: what arithmetic alone puts between two ends
WORTH_TELLING = 0.1  # of the length of a line: a wider gap is simply where it ends


class Gap(NamedTuple):
    """Two ends that do not meet: how far apart, where, and whether they were joined."""

    size: float
    at: tuple[float, float]
    closed: bool


class Joined(NamedTuple):
    """Rings and open lines, each with the first of the lines it was made of, and the gaps."""

    rings: list[tuple[BaseGeometry, int]]
    lines: list[tuple[BaseGeometry, int]]
    gaps: list[Gap]


def join(lines: Sequence[Floats], tolerance: float) -> Joined:
    """Join open lines end to end.

    Parameters
    ----------
    lines : sequence of (n, 2) arrays
        At least two corners each, in the units of the drawing.
    tolerance : float
        The widest gap that is closed, in the same units.

    Returns
    -------
    Joined
        Lines that meet in threes enclose areas side by side, each a ring.
    """
    if not lines:
        return Joined([], [], [])
    ends = np.array([end for line in lines for end in (line[0], line[-1])])
    size = float(np.abs(ends - ends[0]).max())
    nodes = _nodes(ends, EXACT * (size + float(np.abs(ends).max())))
    nodes, gaps = _bridged(ends, nodes, tolerance)
    places = {node: ends[index] for index, node in reversed(list(enumerate(nodes)))}
    snapped = [
        _between(line, places[nodes[2 * n]], places[nodes[2 * n + 1]])
        for n, line in enumerate(lines)
    ]
    joined = Joined([], [], gaps)
    for group in _groups([(nodes[2 * n], nodes[2 * n + 1]) for n in range(len(lines))]):
        _shape([snapped[n] for n in group], min(group), joined)
    joined.gaps.extend(_open_gaps(joined.lines))
    return joined


def _nodes(ends: Floats, reach: float) -> list[int]:
    """Return the number of the node that each end belongs to."""
    places, which = np.unique(ends, axis=0, return_inverse=True)
    points = _points(places)
    pairs = shapely.STRtree(points).query(points, predicate="dwithin", distance=reach)
    leader = list(range(len(points)))
    for a, b in pairs[:, pairs[0] < pairs[1]].T.tolist():
        leader[_first(leader, a)] = _first(leader, b)
    return [_first(leader, index) for index in which.ravel().tolist()]


def _first(leader: list[int], index: int) -> int:
    while leader[index] != index:
        leader[index] = leader[leader[index]]
        index = leader[index]
    return index


def _bridged(ends: Floats, nodes: list[int], reach: float) -> tuple[list[int], list[Gap]]:
    """Join the nodes with one line only to the nearest such node in reach, nearest pairs first."""
    count: dict[int, int] = defaultdict(int)
    for node in nodes:
        count[node] += 1
    free = [index for index, node in enumerate(nodes) if count[node] == 1]
    if len(free) < 2 or reach <= 0:  # noqa: PLR2004 - a pair
        return nodes, []
    points = _points(ends[free])
    pairs = shapely.STRtree(points).query(points, predicate="dwithin", distance=reach)
    near = sorted(
        (math.dist(ends[free[a]], ends[free[b]]), free[a], free[b])
        for a, b in pairs.T.tolist()
        if a < b
    )
    taken: set[int] = set()
    renamed = list(nodes)
    gaps = []
    for size, a, b in near:
        if not taken & {a, b}:
            taken |= {a, b}
            renamed[b] = renamed[a]
            gaps.append(Gap(size, _middle(ends[a], ends[b]), closed=True))
    return renamed, gaps


def _between(line: Floats, start: Floats, end: Floats) -> Floats:
    moved = line.copy()
    moved[0], moved[-1] = start, end
    return moved


def _groups(edges: Sequence[tuple[int, int]]) -> list[list[int]]:
    """Return the lines that hang together."""
    numbers = {node: n for n, node in enumerate(dict.fromkeys(chain.from_iterable(edges)))}
    leader = list(range(len(numbers)))
    for a, b in edges:
        leader[_first(leader, numbers[a])] = _first(leader, numbers[b])
    groups: dict[int, list[int]] = defaultdict(list)
    for n, (a, _) in enumerate(edges):
        groups[_first(leader, numbers[a])].append(n)
    return list(groups.values())


def _shape(lines: Iterable[Floats], first: int, joined: Joined) -> None:
    """Add what one group of lines encloses, and what is left over of it."""
    drawn = [shapely.LineString(line) for line in lines]
    drawn = [line for line in drawn if line.length > 0]
    # The same line drawn twice encloses nothing.
    once = list({shapely.normalize(line).wkb: line for line in drawn}.values())
    rings, cuts, loose, crossing = shapely.polygonize_full(once)
    joined.rings.extend((ring, first) for ring in rings.geoms)
    left = [*cuts.geoms, *loose.geoms, *crossing.geoms]
    if left:
        merged = shapely.line_merge(shapely.MultiLineString(left))
        parts = merged.geoms if isinstance(merged, shapely.MultiLineString) else [merged]
        joined.lines.extend((part, first) for part in parts)


def _open_gaps(lines: Sequence[tuple[BaseGeometry, int]]) -> list[Gap]:
    """Return the gaps between open ends that somebody may have meant to close."""
    every = np.array([line.coords[place][:2] for line, _ in lines for place in (0, -1)])
    if not len(every):
        return []
    ends, first, count = np.unique(every, axis=0, return_index=True, return_counts=True)
    ends, first = ends[count == 1], first[count == 1]  # where lines meet nothing is open
    lengths = [lines[n // 2][0].length for n in first.tolist()]
    if len(ends) < 2:  # noqa: PLR2004 - a pair
        return []
    points = _points(ends)
    (here, there), sizes = shapely.STRtree(points).query_nearest(
        points, exclusive=True, return_distance=True, all_matches=False
    )
    found: dict[tuple[int, int], Gap] = {}
    for a, b, size in zip(here.tolist(), there.tolist(), sizes.tolist(), strict=True):
        if size <= WORTH_TELLING * lengths[a]:
            found[min(a, b), max(a, b)] = Gap(size, _middle(ends[a], ends[b]), closed=False)
    return list(found.values())


def _points(ends: Floats) -> list[Any]:
    points: Any = shapely.points(ends)
    return list(points)


def _middle(a: Floats, b: Floats) -> tuple[float, float]:
    x, y = ((a + b) / 2).tolist()
    return x, y
