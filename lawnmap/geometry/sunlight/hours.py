"""Hours of direct sun on points of ground among obstacles.

On each bearing the sun comes on, a solid obstacle that stands on the ground hides what is below its
top edge nearest the point: the highest of them, and of the ground's own slope, is the horizon. What
lets some sun through, or stands clear of the ground, hides a band: a beam passes through it that at
the footprint's near edge is not yet above the top, and at its far edge is above the base. The hours
in a band, or in several at once, are weighed by the shares that pass.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.sunlight.edges import Edges, edges
from lawnmap.geometry.sunlight.obstacle import Obstacle, Outlines, outlines
from lawnmap.geometry.sunlight.path import CLASSES, FoldedSun
from lawnmap.geometry.sunlight.points import Points

Floats = npt.NDArray[np.float64]
Singles = npt.NDArray[np.float32]
Places = npt.NDArray[np.intp]

BLOCK = 4_000_000  # edges at once, at the most: mostly a tenth of them, and some 30 MB
SOLID = 1e-30  # in place of nothing, which has no logarithm


def sun_hours(
    points: Points, sun: FoldedSun, obstacles: Sequence[Obstacle], horizon: Singles | None = None
) -> Floats:
    """Return how long each point has direct sun [h].

    A beam that passes a band in part counts in part. Work and memory do not grow with the days of
    the path, but for folding it.

    Parameters
    ----------
    points : Points
    sun : FoldedSun
        From :func:`lawnmap.geometry.sunlight.path.fold`.
    obstacles : sequence of Obstacle
    horizon : (n, m) array, optional
        Rise of the land and what stands on it for each point and each of the sun's bearings:
        :func:`lawnmap.geometry.sunlight.horizon.surface_horizon`.

    Returns
    -------
    (n,) array
        From 0 to `sun.total_h`.

    Raises
    ------
    ValueError
        From :func:`lawnmap.geometry.sunlight.obstacle.outlines`.
    """
    walls, bands = _sorted(obstacles, points.xyz[:, 2].min(initial=np.inf))
    corners = len(walls.xy) + len(bands.xy)
    size = max(1, BLOCK // (corners + 2 * len(sun.bearing_deg) * (1 + len(obstacles))))
    hours = np.zeros(len(points.xyz))
    for begin in range(0, len(hours), size):
        block = slice(begin, begin + size)
        some = points.where(block)
        rises = _ground(some, sun)
        if horizon is not None:
            np.maximum(rises, horizon[block], out=rises)
        _raise(rises, edges(some.xyz, walls, sun.bearing_deg, entering=True))
        hours[block] = _lit(rises, edges(some.xyz, bands, sun.bearing_deg), bands.through, sun)
    return np.clip(hours, 0, sun.total_h)


def _sorted(obstacles: Sequence[Obstacle], lowest_m: float) -> tuple[Outlines, Outlines]:
    """Return the solid ones no point can see under, and the others that take any sun."""
    solid = [each.through == 0 and each.base_m <= lowest_m for each in obstacles]
    walls = [each for each, wall in zip(obstacles, solid, strict=True) if wall]
    bands = [
        each for each, wall in zip(obstacles, solid, strict=True) if not wall and each.through != 1
    ]
    return outlines(walls), outlines(bands)


def _ground(points: Points, sun: FoldedSun) -> Singles:
    """Return the rise of the ground's own plane, where it rises, for each point and bearing."""
    rises = np.zeros((len(points.xyz), len(sun.bearing_deg)), dtype=np.float32)
    sloping = np.flatnonzero((points.slope_deg > 0) & np.isfinite(points.aspect_deg))
    steep = np.tan(np.radians(points.slope_deg[sloping, None]))
    facing = np.radians(sun.bearing_deg - points.aspect_deg[sloping, None])
    rises[sloping] = np.maximum(-steep * np.cos(facing), 0)
    return rises


def _raise(horizon: Singles, found: Edges) -> None:
    """Raise the horizon to solid obstacles' near edges; no sun at all inside them."""
    np.maximum.at(horizon.reshape(-1), found.cell, found.rise.astype(np.float32))
    horizon[found.inside[:, 0]] = np.inf


def _lit(horizon: Singles, found: Edges, through: Floats, sun: FoldedSun) -> Floats:
    """Return the hours above the horizon, weighed by what bands let through [h].

    A band begins at the rise of its base over the far edge, and ends at that of its top over the
    near edge, or nowhere for a point inside. So on each bearing, from the horizon up, there is a
    share that passes at first, and a change of it at each edge for all the hours above that edge.
    """
    bearings = np.arange(len(sun.bearing_deg))
    count = len(bearings)
    end_h = sun.before_h[(bearings + 1) * CLASSES]
    above_h = end_h - sun.before_h[sun.place(bearings, horizon)]
    change = np.where(found.enters, -1, 1) * np.log(np.maximum(through, SOLID))[found.obstacle]

    # What passes just above the horizon, or where the sun begins.
    hidden = np.maximum(horizon, sun.lowest.astype(np.float32)).ravel()
    first = found.rise <= hidden[found.cell]
    share = np.asarray(np.bincount(found.cell[first], change[first], above_h.size), dtype=float)
    hours: Floats = (_passing(share).reshape(above_h.shape) * above_h).sum(axis=1)

    # Where the sun still stands higher: the changes, in their order on each bearing.
    later = np.flatnonzero(~first & (found.rise < sun.highest[found.cell % count]))
    cell, change = found.cell[later], change[later]
    place = sun.place(cell % count, found.rise[later])
    order = np.argsort(cell * len(sun.before_h) + place)
    cell, change, place = cell[order], change[order], place[order]
    begins = np.flatnonzero(np.diff(cell, prepend=-1))
    before = np.cumsum(change) - change
    before += share[cell] - np.repeat(before[begins], np.diff(begins, append=len(cell)))
    above = end_h[cell % count] - sun.before_h[place]
    gain = (_passing(before + change) - _passing(before)) * above
    return hours + np.bincount(cell // count, gain, len(hours))


def _passing(log_share: Floats) -> Floats:
    """Return shares; of a band too thin to tell, the end may come before the beginning."""
    share: Floats = np.exp(np.minimum(log_share, 0))
    return share
