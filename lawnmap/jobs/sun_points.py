"""Every point on which the sun was counted, as a table that any map program reads."""

from __future__ import annotations

import csv
import io
import sys
from pathlib import Path

import numpy as np

from lawnmap.files.alone import put
from lawnmap.light import Sunlight
from lawnmap.model import Site
from lawnmap.processing.sun.raster import Raster

HEAD = ("zone_id", "lon", "lat", "sun_hours")
PLACES = 8  # a millimetre


def write(sunlight: Sunlight, site: Site, path: Path | None, *, force: bool) -> tuple[str, ...]:
    """Write the points as CSV to a file, or to standard output when there is no path.

    Returns
    -------
    tuple of str
        Warnings of the disk.

    Raises
    ------
    UsageProblem, WriteFailed
        When the file is there already, or the disk does not take it.
    """
    data = points(sunlight, site).encode("ascii")
    if path is not None:
        return put(path, data, force=force)
    sys.stdout.buffer.write(data)
    return ()


def points(sunlight: Sunlight, site: Site) -> str:
    """Return one line a point: zone, longitude, latitude and hours a day."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(HEAD)
    for sun in sunlight.maps:
        grid, hours = Raster.of(sun), sun.cells.ravel()
        for zone_id, outline in site.zones.geometry.items():
            cells = grid.within(outline)
            cells = cells[np.isfinite(hours[cells])]
            for (lon, lat), each in zip(grid.middles(cells), hours[cells], strict=True):
                writer.writerow([zone_id, f"{lon:.{PLACES}f}", f"{lat:.{PLACES}f}", f"{each:.2f}"])
    return text.getvalue()
