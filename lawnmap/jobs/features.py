"""What was found in a plan becomes features of a site: placed, shaped, judged, merged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused
from lawnmap.files import child
from lawnmap.found import Found
from lawnmap.geometry.sides import crossings
from lawnmap.geometry.validity import MOST_CROSSINGS, repair
from lawnmap.jobs import control, pictures
from lawnmap.jobs.reading import Reading, Taken
from lawnmap.model import Site
from lawnmap.processing.entering.merge import Change, merge
from lawnmap.processing.entering.outlines import Admission, shape_all
from lawnmap.processing.position.control import with_sigmas
from lawnmap.processing.position.placing import placing
from lawnmap.store.folder import Folder

REPAIR_S = 12.0  # ten times what is needed: what is too much is told by counting, not by a clock
APART_M = 0.5  # further than a tape or a drawing of a garden is out; common practice, no source
SMALL, FEW = 10_000, 2_000  # vertices and crossings of an outline that is mended here: 0.05 s
MOST_IN_ALL = 100_000  # crossings of all outlines of a plan: 2.5 s of mending when measured


def take(site: Site, found: Found, reading: Reading, folder: Folder | None = None) -> Taken:
    """Return the site with the features that were found, every warning gathered.

    The site's folder holds the plan pictures that ``--crs picture:NAME`` speaks of.

    Parameters
    ----------
    site : Site
        To put them into.
    found : Found
    reading : Reading
        Choices.
    folder : Folder, optional
        Of the site.

    Raises
    ------
    CRSNeeded, InputRefused
        For the first thing that is wrong, with its place.
    """
    points = control.chosen(reading, site)
    maps = pictures.pixel_maps(folder) if folder else {}
    placed = placing(site, found, reading.crs, reading.units, points, pictures=maps)
    admission = Admission(
        kind=reading.kind,
        asked=reading.says_kind,
        skip_bad=reading.skip_bad,
        repair=Mender() if reading.repair else None,
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


@dataclass
class Mender:
    """Mends the outlines of one plan, none without end: how often each crosses itself is counted.

    Attributes
    ----------
    left : int
        Crossings that may still be mended.
    """

    left: int = MOST_IN_ALL

    def __call__(self, outline: BaseGeometry) -> BaseGeometry:
        """Return a mended outline; one that takes long is mended in a child with a time limit."""
        crossed = crossings(outline, MOST_CROSSINGS)
        if crossed > MOST_CROSSINGS:
            raise InputRefused(
                f"it crosses itself more than {MOST_CROSSINGS:,} times, too often to be mended",
                remedy="Draw it again.",
            )
        self.left -= crossed
        if self.left < 0:
            raise InputRefused(
                f"the outlines up to here cross themselves more than {MOST_IN_ALL:,} times in all",
                remedy="Read the plan in parts.",
            )
        if crossed <= FEW and shapely.get_num_coordinates(outline) <= SMALL:
            return repair(outline)
        mended = child.run(
            "lawnmap.geometry.validity:repair_text",
            arguments={"wkb": shapely.to_wkb(outline, hex=True)},
            seconds=REPAIR_S,
        )
        whole: BaseGeometry = shapely.from_wkb(mended)
        return whole
