"""A grid of surface heights becomes what throws shade on a site, whether it is mapped or not."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused
from lawnmap.found import Found, SurfaceHeights
from lawnmap.geometry import relief
from lawnmap.geometry.frame import Frame, about
from lawnmap.jobs import heights
from lawnmap.jobs.reading import Reading, Taken
from lawnmap.model import Site
from lawnmap.processing.entering.merge import Change
from lawnmap.store import surface as store

KIND = "surface"  # what a person says the grid is: ``--as surface``
REACH_M = 100.0  # round the zones: of the shadow of a roof 10 m up, the sun at 6°
BENT = 0.25  # of a cell: as far as a cell may lie beside an even grid
Floats = npt.NDArray[np.float64]


def take(site: Site, found: Found, reading: Reading, name: str, day: dt.date) -> Taken:
    """Return the site with a grid of surface heights, in the place of any it had.

    Parameters
    ----------
    site : Site
    found : Found
    reading : Reading
    name : str
        Of the file.
    day : date
        On which it is read.

    Raises
    ------
    InputRefused
        When it is no grid, too coarse, or does not lie over the lawn, or the site has no place or
        no zone.
    """
    _refuse_site(site)
    if found.heights is None or found.heights.shape is None:
        raise InputRefused(
            "is no grid of heights, and a surface is one", remedy="Give it as a GeoTIFF."
        )
    given, placed = heights.on_earth(site, found, reading)
    warnings = [*found.warnings, *placed.warnings]
    near = _near(site, given.points.reshape(*found.heights.shape, 3))
    grid = _even(near)
    _refuse_coarse(grid.steps, averaged=False)
    even = _averaged(grid, warnings)
    _refuse_coarse(even.steps, averaged=True)
    first = tuple(near.frame.to_lonlat(np.array([even.first]))[0].tolist())
    new = SurfaceHeights(even.heights, first, *even.steps, name, day)
    data = store.encode(new)
    kept = store.parse(data)
    return Taken(
        replace(site.with_header(**placed.header), surface=kept),
        [_change(kept, site.surface)],
        warnings,
        {store.NAME: data},
        placed.agreement,
    )


def _refuse_site(site: Site) -> None:
    if not site.placed:
        raise InputRefused(
            "a surface is for the sun, and this site has no place on earth yet",
            remedy="Place it with lawnmap place and two or more control points.",
        )
    if site.zones.empty:
        raise InputRefused(
            "a surface is cut to the zones, and the site has none yet",
            remedy="Read the outlines first.",
        )


class _Near(NamedTuple):
    """The part of a grid round the zones: east and north in a frame about them, and heights."""

    cells: Floats
    frame: Frame


def _near(site: Site, points: Floats) -> _Near:
    """Return the cells round the zones from (rows, columns, 3) longitude, latitude and height.

    Raises
    ------
    InputRefused
        When none of them has a height on a zone.
    """
    zones = np.asarray(site.zones.geometry.array, dtype=object)
    frame = about(shapely.box(*shapely.total_bounds(zones)))
    flat = shapely.union_all(frame.flat(zones))
    places = points[..., :2].reshape(-1, 2)
    east, north = frame.to_metres(places).T
    west, south, right, top = shapely.total_bounds(shapely.buffer(flat, REACH_M))
    inside = (east >= west) & (east <= right) & (north >= south) & (north <= top)
    # The frame's series is good for a site: what is on the far side of the earth may fold back.
    inside &= np.hypot(*(places - [frame.longitude, frame.latitude]).T) <= 1.0
    inside = inside.reshape(points.shape[:2])
    if not inside.any():
        raise _beside(points, frame)
    hit = [np.flatnonzero(inside.any(axis=axis)) for axis in (1, 0)]
    box = tuple(slice(each[0], each[-1] + 1) for each in hit)
    cells = points[box].copy()
    cells[..., :2] = np.dstack([east.reshape(inside.shape)[box], north.reshape(inside.shape)[box]])
    if min(cells.shape[:2]) < store.LEAST or not _over(flat, cells):
        raise _beside(points, frame)
    return _Near(cells, frame)


def _over(flat: BaseGeometry, cells: Floats) -> bool:
    """Tell whether any cell with a height lies on the zones, or no farther off than the next."""
    apart = float(np.hypot(*(cells[1, 1] - cells[0, 0])[:2]))
    known = cells[np.isfinite(cells[..., 2])]
    return bool(shapely.contains_xy(shapely.buffer(flat, apart), known[:, :2]).any())


def _beside(points: Floats, frame: Frame) -> InputRefused:
    lon, lat = points[..., 0].mean(), points[..., 1].mean()
    return InputRefused(
        f"has no height on the lawn: it lies round {lon:.4f}, {lat:.4f} and the zones round "
        f"{frame.longitude:.4f}, {frame.latitude:.4f}",
        remedy="Check that it is the tile of this site, and its CRS.",
    )


class _Grid(NamedTuple):
    """Heights in even cells: the first one's middle, and the steps to the next [m]."""

    heights: Floats
    first: tuple[float, float]
    steps: relief.Steps


def _even(near: _Near) -> _Grid:
    """Return the cells as an even grid.

    Raises
    ------
    InputRefused
        When they do not lie in one.
    """
    shape = near.cells.shape[:2]
    row, column = (each.ravel() for each in np.indices(shape, dtype=np.float64))
    places = np.column_stack([np.ones(len(row)), column, row])
    metres = near.cells[..., :2].reshape(-1, 2)
    fitted, *_ = np.linalg.lstsq(places, metres, rcond=None)
    first, along, down = (tuple(each) for each in fitted.tolist())
    steps = relief.Steps(along, down)
    bent = np.abs(places @ fitted - metres).max()
    if not bent <= BENT * steps.narrowest_m:
        raise InputRefused(
            "has no even cells", remedy="Ask for it in a CRS in metres of your country."
        )
    return _Grid(near.cells[..., 2], first, steps)


def _averaged(grid: _Grid, warnings: list[str]) -> _Grid:
    """Return a grid of no more cells than are kept."""
    rows, columns = grid.heights.shape
    side = 1
    while -(-rows // side) * -(-columns // side) > store.MOST_CELLS:
        side += 1
    if side == 1:
        return grid
    half = (side - 1) / 2 * np.array(grid.steps).sum(axis=0)
    east, north = (np.array(grid.first) + half).tolist()
    steps = grid.steps.times(side)
    warnings.append(
        f"{rows * columns:,} cells lie within {REACH_M:.0f} m of the zones; blocks of {side} by "
        f"{side} were averaged to cells of {store.side_m(steps):.2f} m."
    )
    return _Grid(relief.blocks(grid.heights, side), (east, north), steps)


def _refuse_coarse(steps: relief.Steps, *, averaged: bool) -> None:
    side = store.side_m(steps)
    cell = f"cells of {side:.2g} m, and at most {store.COARSEST_M:g} m tell a tree"
    if side <= store.COARSEST_M:
        return
    if averaged:
        raise InputRefused(
            f"the zones lie so far apart that only {cell} can be kept",
            remedy="Make a site of each place.",
        )
    raise InputRefused(f"has {cell}", remedy="Ask for cells of 0.5 or 1 m.")


def _change(new: SurfaceHeights, old: SurfaceHeights | None) -> Change:
    """Return what became of the surface, in the form of a feature's change."""
    rows, columns = new.heights.shape
    count = int(np.isfinite(new.heights).sum())
    same = (
        old is not None
        and replace(old, read_on=new.read_on) == new
        and np.array_equal(old.heights, new.heights, equal_nan=True)
    )
    what = "added" if old is None else "unchanged" if same else "replaced"
    return Change(what, KIND, f"{count:,} heights, {rows} by {columns} cells", None)
