"""The line where shade begins on a lawn, smooth enough to walk, from the hours on a grid."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.frame import Frame
from lawnmap.grids import GridMap

Floats = npt.NDArray[np.float64]
Outline = Polygon | MultiPolygon

MARGIN = 3  # cells beyond the lawn, so that the line runs on across its edge
BESIDE_M = 0.05  # by which what is given to one side reaches over its own edge
TRIANGLES = ((0, 1, 2), (0, 2, 3))  # of four neighbouring cells, clockwise from the upper left


class Least(NamedTuple):
    """What a part must have at least to be a zone of its own: area [m²] and width [m]."""

    area_m2: float
    width_m: float


def shade_of(
    sun: GridMap, outline: Outline, under_h: float, least: Least, frame: Frame
) -> Outline | None:
    """Return the ground with less than so many hours, running on beyond the outline.

    Parameters
    ----------
    sun : GridMap
    outline : Polygon or MultiPolygon
        Of a zone, longitude/latitude.
    under_h : float
        Below how many hours a day is shade [h].
    least : Least
        What is smaller or narrower stays with what surrounds it.
    frame : Frame
        Near the zone.

    Returns
    -------
    Polygon, MultiPolygon or None
        Longitude/latitude; None when the outline lies wholly on one side.
    """
    window = _window(sun, outline, least)
    if window is None or not _both_sides(window.hours, under_h):
        return None
    flat = frame.flat(np.array([outline], dtype=object))[0]
    shade: BaseGeometry = _smooth(
        _below(window, under_h, frame), least.width_m / 2, window.step_m(frame) / 2
    )
    for _ in range(2):  # what is given to the shade may join two of its parts
        small = _small(shapely.intersection(flat, shade), least)
        shade = shapely.difference(shade, _widened(small))
        small = _small(shapely.difference(flat, shade), least)
        shade = shapely.union(shade, _widened(small))
    inside = shapely.intersection(flat, shade).area
    if inside < least.area_m2 or flat.area - inside < least.area_m2:
        return None
    found: Outline = frame.round(np.array([shade], dtype=object))[0]
    return found


class _Window(NamedTuple):
    """The hours round one zone with no gap in them, and the middles of the cells [°]."""

    hours: Floats
    longitude: Floats
    latitude: Floats

    def step_m(self, frame: Frame) -> float:
        """Return how far two cells lie apart."""
        places = np.column_stack([self.longitude[:2], self.latitude[[0, 0]]])
        return float(np.hypot(*np.diff(frame.to_metres(places), axis=0)[0]))


def _window(sun: GridMap, outline: Outline, least: Least) -> _Window | None:
    """Return the hours in a zone and a margin round it; None when the map has none there."""
    rows, columns = sun.cells.shape
    west, south, east, north = sun.bounds
    across, down = (east - west) / columns, (north - south) / rows
    wide = MARGIN + math.ceil(least.width_m / (down * 111_000))  # metres to a degree of latitude
    left, bottom, right, top = outline.bounds
    column = np.arange(math.floor((left - west) / across), math.ceil((right - west) / across) + 1)
    row = np.arange(math.floor((north - top) / down), math.ceil((north - bottom) / down) + 1)
    column = np.arange(column[0] - wide, column[-1] + wide)
    row = np.arange(row[0] - wide, row[-1] + wide)
    on_map = np.ix_((row >= 0) & (row < rows), (column >= 0) & (column < columns))
    hours = np.full((len(row), len(column)), np.nan)
    hours[on_map] = sun.cells[np.ix_(row[on_map[0].ravel()], column[on_map[1].ravel()])]
    if not np.isfinite(hours).any():
        return None
    return _Window(_filled(hours), west + (column + 0.5) * across, north - (row + 0.5) * down)


def _filled(hours: Floats) -> Floats:
    """Return hours with every gap filled from what lies beside it, cell by cell outwards."""
    result = hours.copy()
    while (gaps := np.isnan(result)).any():
        wide = np.pad(result, 1, constant_values=np.nan)
        rows, columns = result.shape
        beside = np.array(
            [
                wide[1 + d : 1 + d + rows, 1 + a : 1 + a + columns]
                for d in (-1, 0, 1)
                for a in (-1, 0, 1)
            ]
        )
        known = np.isfinite(beside)
        count = known.sum(axis=0)
        total = np.where(known, beside, 0.0).sum(axis=0)
        reached = gaps & (count > 0)
        result[reached] = total[reached] / count[reached]
    return result


def _both_sides(hours: Floats, under_h: float) -> bool:
    return bool((hours < under_h).any() and (hours >= under_h).any())


def _below(window: _Window, under_h: float, frame: Frame) -> BaseGeometry:
    """Return where the hours, straight from cell to cell, are under a limit, in metres."""
    longitude, latitude = np.meshgrid(window.longitude, window.latitude)
    xy = frame.to_metres(np.column_stack([longitude.ravel(), latitude.ravel()]))
    place = np.arange(xy.shape[0]).reshape(longitude.shape)
    quads = np.stack([place[:-1, :-1], place[:-1, 1:], place[1:, 1:], place[1:, :-1]], axis=-1)
    triangles = np.concatenate([quads[..., corners].reshape(-1, 3) for corners in TRIANGLES])
    lack = (under_h - window.hours).ravel()
    pieces = []
    for count in (1, 2, 3):
        chosen = triangles[(lack[triangles] > 0).sum(axis=1) == count]
        pieces += list(_pieces(_turned(chosen, lack, count), lack, xy, count))
    return shapely.union_all(np.concatenate(pieces)) if pieces else MultiPolygon()


def _turned(triangles: npt.NDArray[np.intp], lack: Floats, count: int) -> npt.NDArray[np.intp]:
    """Turn triangles so that the corner that differs from the other two comes first."""
    alone = (lack[triangles] > 0) == (count == 1)
    first = alone.argmax(axis=1)
    turn = (first[:, None] + np.arange(3)) % 3
    return np.take_along_axis(triangles, turn, axis=1)


def _pieces(
    triangles: npt.NDArray[np.intp], lack: Floats, xy: Floats, count: int
) -> Iterable[npt.NDArray[np.object_]]:
    """Yield the shaded part of triangles that have so many shaded corners."""
    if not len(triangles):
        return
    first, second, third = triangles.T
    if count == 3:  # noqa: PLR2004 - all of a triangle
        corners = [xy[first], xy[second], xy[third]]
    else:
        one, other = _crossing(first, second, lack, xy), _crossing(first, third, lack, xy)
        corners = [xy[first], one, other] if count == 1 else [one, xy[second], xy[third], other]
    yield np.asarray(shapely.polygons(np.stack(corners, axis=1)), dtype=object)


def _crossing(
    one: npt.NDArray[np.intp], other: npt.NDArray[np.intp], lack: Floats, xy: Floats
) -> Floats:
    """Return where sides pass the limit; the same to the last digit from either end."""
    low, high = np.minimum(one, other), np.maximum(one, other)
    share = lack[low] / (lack[low] - lack[high])
    crossing: Floats = xy[low] + share[:, None] * (xy[high] - xy[low])
    return crossing


def _smooth(shade: BaseGeometry, radius_m: float, off_m: float) -> BaseGeometry:
    """Return an outline without parts and bays narrower than twice a radius, in fewer corners."""
    opened = shade.buffer(-radius_m).buffer(2 * radius_m).buffer(-radius_m)
    return shapely.simplify(opened, off_m)


def _small(shape: BaseGeometry, least: Least) -> list[BaseGeometry]:
    """Return the parts that are too small or too narrow to be a zone."""
    return [
        part
        for part in shapely.get_parts(shape)
        if part.area < least.area_m2 or part.buffer(-least.width_m / 2).is_empty
    ]


def _widened(parts: list[BaseGeometry]) -> BaseGeometry:
    return shapely.union_all([part.buffer(BESIDE_M) for part in parts])
