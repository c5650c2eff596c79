"""The step ``sun``: hours of direct sun a day in each zone, on a grid of points."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.found import Heights, SurfaceHeights
from lawnmap.geometry import ellipsoid
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.sunlight.horizon import surface_horizon
from lawnmap.geometry.sunlight.hours import sun_hours
from lawnmap.geometry.sunlight.obstacle import Obstacle
from lawnmap.geometry.sunlight.path import SunPath, fold
from lawnmap.geometry.sunlight.points import Points
from lawnmap.grids import GridMap
from lawnmap.light import Sunlight, ZoneSun
from lawnmap.processing.sun import leaf
from lawnmap.processing.sun.clusters import Cluster, clusters
from lawnmap.processing.sun.levels import LEVEL, Levels
from lawnmap.processing.sun.overhead import Cover, overhead
from lawnmap.processing.sun.positions import Sky, sky
from lawnmap.processing.sun.raster import raster, spacing
from lawnmap.processing.sun.standing import Standing, standing

Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]

TENTHS = (10, 90)  # of a zone: percentiles
HEIGHTS = "heights"


class Spell(NamedTuple):
    """The days to be counted, both in it, and whether they are the growing season."""

    first: dt.date
    last: dt.date
    season: bool


def zone_sun(
    zones: gpd.GeoDataFrame,
    lawn: gpd.GeoSeries,
    features: gpd.GeoDataFrame,
    heights: Heights | None,
    spell: Spell,
    *,
    step_m: float | None = None,
    surface: SurfaceHeights | None = None,
) -> Sunlight:
    """Return the hours of direct sun a day of each zone.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``measure``.
    lawn : GeoSeries
        What of each zone is lawn.
    features : GeoDataFrame
        Everything else on the site; see :func:`lawnmap.processing.sun.standing.standing`.
    heights : Heights or None
        Of the ground.
    spell : Spell
    step_m : float, optional
        From a point to the next [m]; see :func:`lawnmap.processing.sun.raster.spacing`.
    surface : SurfaceHeights, optional
        Of what stands on the site and round it; see
        :func:`lawnmap.processing.sun.overhead.overhead`.

    Raises
    ------
    ExtraNeeded
        Without pvlib.
    InputRefused
        When `step_m` is too fine, or the surface does not lie on the ground.
    """
    real = lawn[~lawn.is_empty]
    groups = clusters(np.asarray(real.array, dtype=object))
    area = float(ellipsoid.areas(np.asarray(real.array, dtype=object)).sum())
    step = spacing(area, max((each.box_m2 for each in groups), default=0.0), step_m)
    found: dict[str, ZoneSun] = {}
    told: list[str] = []
    maps: list[GridMap] = []
    open_h = 0.0
    for group in groups:
        own = real.iloc[group.members]
        way = sky(group.frame.longitude, group.frame.latitude, spell.first, spell.last)
        levels, cover, said = overhead(surface, heights, np.asarray(own.array), group.frame)
        around = standing(_near(features, group), group.frame, levels)._replace(cover=cover)
        lit = _lit(zones.loc[own.index], own, way, around, levels, step_m=step)
        found |= lit.zones
        maps.append(lit.map)
        told += [*said, *around.told]
        open_h = open_h or way.open_h
    return Sunlight(
        first=spell.first,
        last=spell.last,
        season=spell.season,
        step_m=step,
        latitude=groups[0].frame.latitude if groups else np.nan,
        open_h=open_h,
        zones={str(each): found[each] for each in zones.index if each in found},
        maps=tuple(maps),
        told=tuple(dict.fromkeys([*told, *_slopes_told(zones)])),
    )


class _Lit(NamedTuple):
    """The zones of one cluster with their hours, and the map of it."""

    zones: dict[str, ZoneSun]
    map: GridMap


def _lit(
    zones: gpd.GeoDataFrame,
    lawn: gpd.GeoSeries,
    way: Sky,
    around: Standing,
    levels: Levels,
    *,
    step_m: float,
) -> _Lit:
    """Count the sun on the points of every zone of a cluster."""
    frame = levels.frame
    grid = raster(np.asarray(lawn.array, dtype=object), frame, step_m)
    solid = shapely.union_all([each.footprint for each in around.bare if each.through == 0])
    shapely.prepare(solid)
    kept, all_hours, result = [], [], {}
    for zone_id, outline in lawn.items():
        cells = grid.within(outline)
        xy = frame.to_metres(grid.middles(cells))
        free = ~shapely.contains_xy(solid, xy)
        cells, xy = cells[free], xy[free]
        if not len(xy):  # narrower than the grid
            xy = frame.to_metres(shapely.get_coordinates(outline.representative_point()))
        trusted = zones.at[zone_id, "slope_source"] == HEIGHTS
        hours = hours_at(_ground(xy, levels, trusted=trusted), way, around, frame)
        low, high = np.percentile(hours, TENTHS)
        result[zone_id] = ZoneSun(float(hours.mean()), float(low), float(high), len(cells))
        kept.append(cells)
        all_hours.append(hours[: len(cells)])
    return _Lit(result, grid.map_of(np.concatenate(kept), np.concatenate(all_hours)))


def hours_at(points: Points, way: Sky, around: Standing, frame: Frame) -> Floats:
    """Return the hours of direct sun a day at points of a frame [h].

    The sun's azimuth is from true north, and the frame's north is another by the convergence.
    """
    leafy = leaf.in_leaf(way.first, way.days, frame.latitude)[way.day]
    north = _convergence(points.xyz, frame)
    if not around.changes:
        leafy = np.ones(len(leafy), dtype=bool)
    total = np.zeros(len(points.xyz))
    for chosen, obstacles in ((leafy, around.in_leaf), (~leafy, around.bare)):
        if chosen.any():
            total += _counted(points, _path(way, chosen, north), obstacles, around.cover)
    return total / way.days


def _path(way: Sky, chosen: npt.NDArray[np.bool_], north_deg: float) -> SunPath:
    """Return the sun's way at some times, in a frame whose north has a bearing of its own."""
    return SunPath(
        way.azimuth_deg[chosen] - north_deg,
        way.elevation_deg[chosen],
        np.full(int(chosen.sum()), way.step_h),
    )


def _counted(
    points: Points, path: SunPath, obstacles: list[Obstacle], cover: Cover | None
) -> Floats:
    sun = fold(path)
    horizon = None if cover is None else surface_horizon(points, sun, *cover)
    return np.asarray(sun_hours(points, sun, obstacles, horizon))


def _convergence(xyz: Floats, frame: Frame) -> float:
    """Return the bearing of the frame's north in the middle of some points [°]."""
    middle = xyz[:, :2].mean(axis=0)
    here, up = frame.to_lonlat(np.array([middle, middle + np.array([0.0, 10.0])]))
    local = Frame(float(here[0]), float(here[1])).to_metres(up[None, :])[0]
    return float(np.degrees(np.arctan2(local[0], local[1])))


def _ground(xy: Floats, levels: Levels, *, trusted: bool) -> Points:
    """Return points with the height and fall of their ground."""
    slope, aspect = levels.fall(xy) if trusted else LEVEL
    count = len(xy)
    xyz = np.column_stack([xy, levels.at(xy)])
    return Points(xyz, np.full(count, slope), np.full(count, aspect))


def _near(features: gpd.GeoDataFrame, group: Cluster) -> gpd.GeoDataFrame:
    return features[shapely.intersects(np.asarray(features.geometry.array), group.reach)]


def _slopes_told(zones: gpd.GeoDataFrame) -> list[str]:
    """Return which zones slope and are taken as level, since nobody said which way they fall."""
    sloping = zones[(zones["slope_source"] == "seen") & (zones["slope_deg"] > 0)]
    if sloping.empty:
        return []
    names = ", ".join(str(each) for each in sloping.index)
    return [
        f"Nobody measured which way {names} falls: taken as level. Read heights of the ground in "
        "to have the slope counted."
    ]
