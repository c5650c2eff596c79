"""How steep each zone is: by heights where they cover it, else as seen, else level.

Noise in heights makes ground look rough, and rough ground is larger than smooth: single errors of
5 cm in cells of half a metre add 2 %. So nothing finer than the noise is believed:

- The noise of a grid is worked out from the grid itself; spot heights are taken as read to 2 cm.
- Where a plane fits the heights of a zone to within 1.5 times the noise, the zone is that plane.
- Else the cells of a grid are averaged over blocks, just large enough that what noise is left adds
  at most 0.05 % to the area. Triangles between spot heights stay as they are, but for slivers.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.found import Heights
from lawnmap.geometry import relief, slope, surface
from lawnmap.geometry.frame import Frame

Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]

LEAST_COVER = 0.8  # of a zone, for heights to be used
SPOT_NOISE_M = 0.02  # a staff read by hand on turf; common practice, no source
GRID_NOISE_M = 0.01  # and never less: grass itself is no smoother
WITHIN_NOISE = 1.5  # times the noise, about a plane
NOISE_SHARE = 0.0005  # of the area, that noise may add
SLIVER = 10.0  # times the noise: a triangle narrower than this may slope anyhow
BRIDGE = 4.0  # times the median side: a longer triangle leads across ground without heights
MOST_BEND = 0.25  # of a cell, by which the cells of a grid may lie beside it
STEEPEST_M2 = 1.0  # how much of a zone may be steeper than its greatest slope
STEEPEST_SHARE = 0.05
BY_EYE = np.array(["level", "seen"], dtype=object)  # where the slope is from, if not from heights


class Surface(NamedTuple):
    """The ground of a site as its heights have it, in metres in a flat frame."""

    frame: Frame
    points: Floats
    noise_m: float
    facets: surface.Facets


class Ground(NamedTuple):
    """Columns of the schema, one row a zone.

    The slope is the one whose plane has the zone's ground area: the mean over the area, of 1/cos,
    so that steep parts count for what they add.
    """

    slope_deg: Floats
    slope_most_deg: Floats
    slope_source: npt.NDArray[np.object_]
    heights_cover_pct: Floats


class Slope(NamedTuple):
    """The slope of one zone, its greatest [°], and what share of it has heights."""

    slope_deg: float
    most_deg: float
    cover: float


def ground(seen_deg: Floats, lawn: Shapes, heights: Heights | None = None) -> Ground:
    """Return the slope of each zone, and where it is from.

    Parameters
    ----------
    seen_deg : (n,) array
        The slope as seen; NaN where nobody looked.
    lawn : (n,) array of polygons
        What of each zone is lawn, in longitude/latitude.
    heights : Heights, optional
        Longitude, latitude and height.
    """
    seen = ~np.isnan(seen_deg)
    by_eye = np.where(seen, seen_deg, 0.0)
    source = BY_EYE[seen.astype(np.intp)]
    if heights is None or not len(lawn):
        return Ground(by_eye, by_eye, source, np.full(len(lawn), np.nan))
    slope_deg, most, cover = np.array(slopes(lawn, surface_of(heights))).T
    trusted = cover >= LEAST_COVER
    source[trusted] = "heights"
    return Ground(
        np.where(trusted, slope_deg, by_eye), np.where(trusted, most, by_eye), source, 100 * cover
    )


def surface_of(heights: Heights) -> Surface:
    """Return the ground as facets, with the noise taken out of a grid."""
    known = np.asarray(np.isfinite(heights.points).all(axis=1))
    start = heights.points[known][0]
    frame = Frame(float(start[0]), float(start[1]))
    metres = heights.points.copy()
    metres[:, :2] = frame.to_metres(heights.points[:, :2])
    points = metres[known]
    even = _even(metres, heights.shape, known) if heights.shape is not None else None
    if even is None:
        return Surface(frame, points, SPOT_NOISE_M, _triangles(points))
    cells, first, steps = even
    noise = relief.noise_m(cells)
    return Surface(frame, points, max(noise, GRID_NOISE_M), _cells(cells, first, steps, noise))


def _even(
    metres: Floats, shape: tuple[int, int] | None, known: npt.NDArray[np.bool_]
) -> tuple[Floats, tuple[float, float], relief.Steps] | None:
    """Return heights, first cell and steps of a grid; None when its cells do not lie in one."""
    if shape is None or min(shape) < 3:  # noqa: PLR2004 - a cell and a neighbour each way
        return None
    row, column = np.unravel_index(np.flatnonzero(known), shape)
    places = np.column_stack([np.ones(len(row)), column, row])
    fitted, _, rank, _ = np.linalg.lstsq(places, metres[known, :2], rcond=None)
    first, along, down = (tuple(each) for each in fitted.tolist())
    steps = relief.Steps(along, down)
    if rank < len(fitted) or not steps.narrowest_m > 0:
        return None
    beside = np.abs(places @ fitted - metres[known, :2]).max()
    if not beside <= MOST_BEND * steps.narrowest_m:
        return None
    return metres[:, 2].reshape(shape), first, steps


def _cells(
    cells: Floats, first: tuple[float, float], steps: relief.Steps, noise: float
) -> surface.Facets:
    # Two neighbours differ by √2 times the noise, each way; a block of k by k has 1/k of the noise
    # and is k times as long. Half the square of that slope is what it adds to the area.
    added = 2 * (noise / steps.narrowest_m) ** 2
    side = max(1, math.ceil((added / NOISE_SHARE) ** 0.25))
    if side > 1:
        half = (side - 1) / 2
        first = (
            first[0] + half * (steps.column[0] + steps.row[0]),
            first[1] + half * (steps.column[1] + steps.row[1]),
        )
        cells, steps = relief.blocks(cells, side), steps.times(side)
    return relief.facets(cells, first, steps)


def _triangles(points: Floats) -> surface.Facets:
    """Return the triangles between spot heights that say something about the ground in them."""
    every = surface.tin(points)
    if not len(every.shapes):
        return every
    longest = surface.longest(every.shapes)
    solid = surface.narrowest(every.shapes) >= SLIVER * SPOT_NOISE_M
    return every.where(solid & (longest <= BRIDGE * float(np.median(longest))))


def slopes(lawn: Shapes, ground: Surface) -> list[Slope]:
    """Return the slope of each outline of lawn."""
    outlines = np.asarray(shapely.transform(lawn, ground.frame.to_metres), dtype=object)
    size = shapely.area(outlines)
    share = surface.shares(outlines, ground.facets.shapes)
    point, owner = shapely.STRtree(ground.facets.shapes).query(
        shapely.points(ground.points[:, :2]), predicate="intersects"
    )
    found = []
    for place in range(len(outlines)):
        own = share.outline == place
        facet, area = share.facet[own], share.area_m2[own]
        if not area.sum() > 0:
            found.append(Slope(0.0, 0.0, 0.0))
            continue
        cover = min(float(area.sum() / size[place]), 1.0)
        # A facet that only reaches in from outside has heights of other ground.
        within = area >= shapely.area(ground.facets.shapes[facet]) / 2
        mostly = np.zeros(len(ground.facets.shapes), dtype=bool)
        mostly[facet[within]] = area[within].sum() >= size[place] / 2
        flat = _plane(ground, np.unique(point[mostly[owner]]))
        if flat is None:
            found.append(Slope(*_uneven(ground.facets.where(facet), area), cover))
        else:
            found.append(Slope(flat, flat, cover))
    return found


def _plane(ground: Surface, chosen: npt.NDArray[np.intp]) -> float | None:
    """Return the slope of a plane, where one fits the heights to within their noise [°]."""
    try:
        fitted = surface.plane(ground.points[chosen])
    except ValueError:
        return None
    return fitted.slope_deg if fitted.residual_m <= WITHIN_NOISE * ground.noise_m else None


def _uneven(parts: surface.Facets, area_m2: Floats) -> tuple[float, float]:
    """Return the slope that stretches as all parts together do, and the greatest [°]."""
    factor = float(area_m2 @ parts.factor / area_m2.sum())
    return slope.degrees_of(factor), _steepest(parts.slope_deg, area_m2)


def _steepest(slope_deg: Floats, area_m2: Floats) -> float:
    """Return the slope that at most a square metre, or a twentieth, of the zone is steeper than."""
    steep_first = np.argsort(-slope_deg, kind="stable")
    passed = np.cumsum(area_m2[steep_first])
    allowed = min(STEEPEST_M2, STEEPEST_SHARE * float(passed[-1]))
    return float(slope_deg[steep_first[np.searchsorted(passed, allowed)]])
