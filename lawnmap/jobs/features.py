"""What was found in a plan becomes features of a site: placed, shaped, judged, merged."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.files import child
from lawnmap.found import Found
from lawnmap.geometry.validity import repair
from lawnmap.jobs import control, pictures
from lawnmap.jobs.reading import Reading, Taken
from lawnmap.model import Site
from lawnmap.processing.control import with_sigmas
from lawnmap.processing.merge import merge
from lawnmap.processing.outlines import Admission, shape_all
from lawnmap.processing.placing import placing
from lawnmap.store.folder import Folder

REPAIR_S = 5.0
SMALL = 200  # vertices of an outline that can be mended here at once: under 0.1 s when measured


def take(site: Site, found: Found, reading: Reading, folder: Folder | None = None) -> Taken:
    """Return the site with the features that were found, every warning gathered.

    The site's folder holds the plan pictures that ``--crs picture:NAME`` speaks of.
    """
    points = control.chosen(reading, site)
    maps = pictures.pixel_maps(folder) if folder else {}
    placed = placing(site, found, reading.crs, reading.units, points, pictures=maps)
    admission = Admission(
        kind=reading.kind,
        asked=reading.says_kind,
        skip_bad=reading.skip_bad,
        repair=guarded_repair if reading.repair else None,
    )
    shaped = with_sigmas(shape_all(found, placed.to_lonlat, admission), placed)
    merged = merge(site, shaped)
    return Taken(
        merged.site.with_header(**placed.header),
        merged.changes,
        [*found.warnings, *placed.warnings, *admission.warnings, *merged.warnings],
        agreement=placed.agreement,
    )


def guarded_repair(outline: BaseGeometry) -> BaseGeometry:
    """Mend an outline, a large one in a child process with a time limit."""
    if shapely.get_num_coordinates(outline) <= SMALL:
        return repair(outline)
    mended = child.run(
        "lawnmap.geometry.validity:repair_text",
        arguments={"wkb": shapely.to_wkb(outline, hex=True)},
        seconds=REPAIR_S,
    )
    whole: BaseGeometry = shapely.from_wkb(mended)
    return whole
