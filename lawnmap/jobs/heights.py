"""Heights that were found in a file become the ground of a site: single spots, or a grid."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.errors import InputRefused
from lawnmap.found import Feature, Found, Heights
from lawnmap.geometry import relief
from lawnmap.geometry.frame import Frame
from lawnmap.jobs import control
from lawnmap.jobs.reading import Reading, Taken
from lawnmap.model import Site
from lawnmap.processing.entering import spots
from lawnmap.processing.entering.merge import Change
from lawnmap.processing.position.placing import LOCAL, Placing, placing
from lawnmap.store import heights as store

KIND = "height"  # what a person says the features are: ``--as height``
MARGIN = 2  # cells round the zones that are kept
Floats = npt.NDArray[np.float64]


def take(site: Site, found: Found, reading: Reading) -> Taken:
    """Return the site with the heights that were found, in the place of any it had.

    Raises
    ------
    InputRefused
        When they are no surface, lie off the site, or a grid comes before there is any zone.
    """
    given, placed = on_earth(site, found, reading)
    warnings = [*found.warnings, *placed.warnings]
    if given.shape is None:
        new = _spots(given.points, warnings)
    else:
        new = _grid(site, given.points, given.shape, warnings)
    metres = _metres(new.points)
    spots.check(metres[np.isfinite(metres).all(axis=1)])
    data = store.encode(new)
    kept = store.parse(data)
    return Taken(
        replace(site.with_header(**placed.header), heights=kept),
        [_change(kept, site.heights)],
        warnings,
        {store.NAME: data},
        placed.agreement,
    )


def on_earth(site: Site, found: Found, reading: Reading) -> tuple[Heights, Placing]:
    """Return heights in metres at longitude and latitude, and how they were placed.

    Raises
    ------
    InputRefused
        When they have no place, or lie off the earth.
    """
    given = _in_metres(found, reading)
    placed = _placing(site, given, found, reading)
    return Heights(_to_lonlat(given, placed), given.shape), placed


def _in_metres(found: Found, reading: Reading) -> Heights:
    """Return the heights in metres, their places still in the file's CRS."""
    if found.heights is not None:
        points = found.heights.points.copy()
        points[:, 2] *= spots.unit_m(reading.units)
        return Heights(points, found.heights.shape)
    named = spots.column_in(found.features, reading.units).name
    if reading.units is not None and reading.crs != LOCAL and spots.NAMES[spots.plain(named)]:
        raise InputRefused(
            f"--units is {reading.units}, and the column {named!r} names its own unit",
            remedy="Leave --units out, or call the column height.",
        )
    return spots.heights_in(found.features, reading.units)


def _placing(site: Site, given: Heights, found: Found, reading: Reading) -> Placing:
    """Return how the places of the heights are brought to longitude/latitude."""
    xy = given.points[:, :2]
    if not np.isfinite(xy).all():
        raise InputRefused("some heights have no place", remedy="Export them again.")
    west, south = xy.min(axis=0).tolist()
    east, north = xy.max(axis=0).tolist()
    corners = tuple(
        Feature({"type": "Point", "coordinates": [x, y]}, {}, "corner")
        for x, y in ((west, south), (east, north))
    )
    # A plan in metres of its own has one unit for all; elsewhere it is of the heights alone.
    local = found.crs is None and reading.crs == LOCAL
    return placing(
        site,
        replace(found, features=corners, heights=None),
        reading.crs,
        reading.units if local else None,
        control.chosen(reading, site),
    )


def _to_lonlat(given: Heights, placed: Placing) -> Floats:
    """Return longitude, latitude and height of each point."""
    # One line through all of them: millions of single points would take a hundred bytes each.
    xy = given.points[:, :2]
    line = np.array([shapely.linestrings(np.vstack([xy, xy[-1:]]))], dtype=object)
    lonlat = shapely.get_coordinates(placed.to_lonlat(line))[:-1]
    if not (np.isfinite(lonlat).all() and (np.abs(lonlat) <= [180, 90]).all()):
        raise InputRefused("some heights lie off the earth", remedy="Check --crs and --units.")
    return np.column_stack([lonlat, given.points[:, 2]])


def _metres(points: Floats) -> Floats:
    """Return points in a flat frame about the first that has a place."""
    start = points[np.isfinite(points).all(axis=1)][0]
    frame = Frame(float(start[0]), float(start[1]))
    return np.column_stack([frame.to_metres(points[:, :2]), points[:, 2]])


def _spots(points: Floats, warnings: list[str]) -> Heights:
    if len(points) > store.MOST:
        raise InputRefused(f"holds {len(points):,} heights", remedy="Cut it down to the site.")
    single, told = spots.once(points, _metres(points)[:, :2])
    warnings += told
    return Heights(single)


def _grid(site: Site, points: Floats, shape: tuple[int, int], warnings: list[str]) -> Heights:
    """Return the part of a grid that the zones lie in, coarser where it has too many cells."""
    if site.zones.empty:
        raise InputRefused(
            "a grid of heights is cut to the zones, and the site has none yet",
            remedy="Read the outlines first.",
        )
    box = _box(site, points.reshape(*shape, 3), shape)
    cells = points.reshape(*shape, 3)[box]
    cells = cells.copy()
    gaps = ~np.isfinite(cells[..., 2])
    if gaps.all():
        raise InputRefused(
            "has no height where the zones lie: every cell there is empty",
            remedy="Ask for the tile that covers the site.",
        )
    side = 1
    while -(-cells.shape[0] // side) * -(-cells.shape[1] // side) > store.MOST:
        side += 1
    if side > 1:
        warnings.append(
            f"The zones lie in {cells.shape[0] * cells.shape[1]:,} cells; blocks of {side} by "
            f"{side} were averaged to have at most {store.MOST:,}."
        )
        cells = np.stack([relief.blocks(layer, side) for layer in np.moveaxis(cells, -1, 0)], -1)
        gaps = ~np.isfinite(cells[..., 2])
    cells[gaps] = np.nan
    return Heights(cells.reshape(-1, 3), (cells.shape[0], cells.shape[1]))


def _box(site: Site, cells: Floats, shape: tuple[int, int]) -> tuple[slice, slice]:
    """Return the rows and columns in which the zones lie, and two more each way.

    Raises
    ------
    InputRefused
        When the zones lie beside the grid.
    """
    west, south, east, north = site.zones.total_bounds
    # Half a cell each way, so that zones smaller than a cell are found.
    reach = np.abs(np.diff(cells[:2, :2, :2], axis=0)).max((0, 1)) + np.abs(
        np.diff(cells[:2, :2, :2], axis=1)
    ).max((0, 1))
    lon, lat = cells[..., 0], cells[..., 1]
    inside = (lon >= west - reach[0]) & (lon <= east + reach[0])
    inside &= (lat >= south - reach[1]) & (lat <= north + reach[1])
    if not inside.any():
        raise InputRefused(
            f"the heights lie round {lon.mean():.4f}, {lat.mean():.4f} and the zones round "
            f"{(west + east) / 2:.4f}, {(south + north) / 2:.4f}",
            remedy="Check that it is the tile of this site, and its CRS.",
        )
    bounds = []
    for axis, length in enumerate(shape):
        hit = np.flatnonzero(inside.any(axis=1 - axis))
        bounds.append(slice(max(hit[0] - MARGIN, 0), min(hit[-1] + MARGIN + 1, length)))
    return bounds[0], bounds[1]


def _change(new: Heights, old: Heights | None) -> Change:
    """Return what became of the heights, in the form of a feature's change."""
    count = int(np.isfinite(new.points[:, 2]).sum())
    name = (
        f"{count:,} spot heights"
        if new.shape is None
        else (f"{count:,} heights, {new.shape[0]} by {new.shape[1]} cells")
    )
    same = (
        old is not None
        and old.shape == new.shape
        and np.array_equal(old.points, new.points, equal_nan=True)
    )
    what = "added" if old is None else "unchanged" if same else "replaced"
    return Change(what, KIND, name, None)
