"""What was found in a plan becomes features of a site: placed, shaped, judged, merged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.files import child
from lawnmap.found import Found
from lawnmap.geometry.validity import repair
from lawnmap.jobs import control, pictures
from lawnmap.jobs.reading import Reading, Taken
from lawnmap.model import Site
from lawnmap.processing.entering.merge import Change, merge
from lawnmap.processing.entering.outlines import Admission, shape_all
from lawnmap.processing.position.control import with_sigmas
from lawnmap.processing.position.placing import placing
from lawnmap.store.folder import Folder

REPAIR_S = 5.0
APART_M = 0.5  # further than a tape or a drawing of a garden is out; common practice, no source
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
    apart = _apart(placed.header, merged.changes)
    return Taken(
        merged.site.with_header(**placed.header),
        merged.changes,
        [*found.warnings, *placed.warnings, *admission.warnings, *merged.warnings, *apart],
        agreement=placed.agreement,
    )


def _apart(header: Mapping[str, Any], changes: Sequence[Change]) -> list[str]:
    """Return a warning when two plans with axes of their own do not lie on each other."""
    moved = [each for each in changes if each.moved_m is not None and each.moved_m > APART_M]
    if header.get("placed", True) or not moved:
        return []
    worst = max(moved, key=lambda each: each.moved_m or 0.0)
    return [
        f"{worst.name or worst.kind} moves by up to {worst.moved_m:,.2f} m: nothing says that this "
        "plan has the axes of the one that was read before. Look at it with --preview, or give "
        "--control with places known in both and --crs local."
    ]


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
