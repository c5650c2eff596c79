"""Whether an outline is sound, where it is not, and what mending it would change.

Repairs disagree in silence: a bow-tie of 20 m by 30 m is 0, 150 or 300 m² depending on the method.
So nothing is mended unasked, and a mend shows the area before and after. Only the "structure"
method of make_valid is used, since the default one takes a minute for a star of 401 points.
"""

from __future__ import annotations

import re
from typing import NamedTuple

import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.sides import crossings, nested

MANY, MANY_RINGS = 50_000, 2_000  # corners and rings; the worst of so many are judged in a second
MOST_NESTED = 1_000_000  # pairs of rings of one outline: 0.3 s
MOST_CROSSINGS = 20_000  # of one outline that is mended: 0.5 s when measured
REASON = re.compile(r"^(?P<reason>[^\[]+)\[(?P<x>\S+) (?P<y>\S+)\]$")
WORDS = {
    "Self-intersection": "the outline crosses itself",
    "Ring Self-intersection": "a ring touches or crosses itself",
    "Hole lies outside shell": "a hole lies outside the outline",
    "Holes are nested": "a hole lies inside another hole",
    "Nested shells": "one part lies inside another",
    "Interior is disconnected": "holes cut the outline in two",
    "Duplicate Rings": "one ring stands twice",
    "Too few points in geometry component": "a ring has too few different points",
}


class Flaw(NamedTuple):
    """What is wrong with an outline, and where, in the outline's own coordinates."""

    words: str
    x: float
    y: float


def flaw(outline: BaseGeometry) -> Flaw | None:
    """Return the first flaw of an outline, or None when it is sound.

    Examples
    --------
    >>> flaw(shapely.Polygon([(0, 0), (20, 30), (20, 0), (0, 30)]))
    Flaw(words='the outline crosses itself', x=10.0, y=15.0)
    """
    if shapely.is_valid(outline):
        return None
    found = REASON.match(str(shapely.is_valid_reason(outline)))
    if found is None:
        return Flaw("the outline is not valid", float("nan"), float("nan"))
    words = WORDS.get(found["reason"].strip(), found["reason"].strip().lower())
    return Flaw(words, float(found["x"]), float(found["y"]))


def is_tangled(outline: BaseGeometry) -> bool:
    """Tell whether an outline is too much to ask :func:`flaw` of.

    What GEOS needs goes with the pairs of sides whose boxes meet, and with those of rings: 200,000
    corners anywhere in a square take it 12 s, 15,000 holes one in the other a minute, where most
    outlines of as many take a tenth of a second.
    """
    corners = int(shapely.get_num_coordinates(outline))
    rings = len(shapely.get_rings(shapely.get_parts(outline)))
    if rings > MANY_RINGS and nested(outline, MOST_NESTED) > MOST_NESTED:
        return True
    return corners > MANY and crossings(outline, MOST_CROSSINGS) > MOST_CROSSINGS


def repair(outline: BaseGeometry) -> BaseGeometry:
    """Return the polygons of a mended outline; empty when nothing with an area is left.

    This can take seconds for outlines that cross themselves thousands of times: call it through
    ``files.child`` with a time limit when the outline comes from outside.
    """
    mended = shapely.make_valid(outline, method="structure", keep_collapsed=False)
    parts = [part for part in shapely.get_parts(mended) if part.geom_type == "Polygon"]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def repair_text(wkb: str) -> str:
    """Return the hex WKB of a mended outline from hex WKB: the form a child process can carry."""
    return str(shapely.to_wkb(repair(shapely.from_wkb(wkb)), hex=True))
