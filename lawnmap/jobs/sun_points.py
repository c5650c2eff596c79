"""Every point on which the sun was counted, as a table that any map program reads."""

from __future__ import annotations

import csv
import io
import sys
from pathlib import Path

import numpy as np
import shapely

from lawnmap.files.alone import put
from lawnmap.geometry.crs import from_lonlat
from lawnmap.light import Sunlight
from lawnmap.model import Site
from lawnmap.processing.sun.raster import Raster
from lawnmap.store.sunlight import HUNDREDTHS

HEAD = ("zone_id", "lon", "lat", "sun_hours")
IN_CRS = ("zone_id", "x", "y", "sun_hours")
PLACES = 8  # a millimetre


def write(
    sunlight: Sunlight, site: Site, path: Path | None, *, force: bool, crs: str = ""
) -> tuple[str, ...]:
    """Write the points as CSV to a file, or to standard output when there is no path.

    Parameters
    ----------
    sunlight : Sunlight
    site : Site
    path : Path or None
    force : bool
        Whether a file that is there already is replaced.
    crs : str
        Of the points: a code or WKT; longitude and latitude when empty.

    Returns
    -------
    tuple of str
        Warnings of the disk.

    Raises
    ------
    UsageProblem, WriteFailed
        When the file is there already, or the disk does not take it.
    InputRefused
        For a CRS that is none, or that the site has no place in.
    """
    data = points(sunlight, site, crs).encode("ascii")
    if path is not None:
        return put(path, data, force=force)
    sys.stdout.buffer.write(data)
    return ()


def points(sunlight: Sunlight, site: Site, crs: str = "") -> str:
    """Return one line a point: zone, longitude and latitude or the place in a CRS, hours a day."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(IN_CRS if crs else HEAD)
    for sun in sunlight.maps:
        grid, hours = Raster.of(sun), sun.cells.ravel()
        for zone_id, outline in site.zones.geometry.items():
            cells = grid.within(outline)
            cells = cells[np.isfinite(hours[cells])]
            # As they are kept, so that a table says the same when its hours were found again.
            told = np.round(hours[cells] * HUNDREDTHS) / HUNDREDTHS
            places = np.asarray(shapely.points(grid.middles(cells)), dtype=object)
            found = shapely.get_coordinates(from_lonlat(places, crs) if crs else places)
            for (x, y), each in zip(found, told, strict=True):
                writer.writerow([zone_id, f"{x:.{PLACES}f}", f"{y:.{PLACES}f}", f"{each:.2f}"])
    return text.getvalue()
