"""Which way the lines of a zone run: one's own way, else across the slope, else fewest turns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.found import Heights
from lawnmap.geometry import surface
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.passes.headings import is_convex, least_width
from lawnmap.geometry.passes.laying import Laid
from lawnmap.reference import tables

ACUTE, THIN, RIGHT = "crossing_acute", "crossing_thin", "crossing_right_angle"
LONGEST, CONTOUR = "longest edge", "contour"
HALF_TURN = 180.0
QUARTER = 90.0
TWO = 2  # passes, to cross


class Way(NamedTuple):
    """A heading [°], None for the one of fewest turns, and the rule behind it."""

    heading_deg: float | None
    rule: str = ""


class Pass(NamedTuple):
    """One set of lines: which heading, by what rule, and how many times over."""

    way: Way
    times: int


def crossing(zone: Mapping[str, Any], count: int, *, blades: bool) -> str:
    """Return the rule of how a second pass crosses the first.

    Blades go by the judgement on the zone. What is put on in two halves goes one way and across,
    and on a slope across the face as everything does.
    """
    if blades:
        return str(zone.get("crossing_rule") or "")
    if count < TWO:
        return ""
    return ACUTE if steep(zone) else RIGHT


def steep(zone: Mapping[str, Any]) -> bool:
    """Return whether nothing may go straight up and down a zone."""
    return float(zone["slope_deg"]) > tables.value("level_up_to_deg").number


def first_way(
    zone: Mapping[str, Any],
    crossed: str,
    choice: Mapping[str, Any],
    area: BaseGeometry,
    fall_deg: float,
) -> Way:
    """Return the heading of the first pass, when something other than turns decides it.

    Parameters
    ----------
    zone : mapping
        A row of the zones.
    crossed : str
        Rule of how a second pass crosses the first.
    choice : mapping
        ``pass_lines`` of the specification.
    area : Polygon or MultiPolygon
        Ground of the lines in metres.
    fall_deg : float
        Which way the ground falls [°]; NaN when that is not known.
    """
    along, known = choice.get("along") or "", np.isfinite(fall_deg)
    if choice.get("heading_deg") is not None:
        return Way(float(choice["heading_deg"]) % HALF_TURN, "heading_own")
    if along == LONGEST:
        return Way(_longest_edge(area), "heading_longest_edge")
    contour = (fall_deg + QUARTER) % HALF_TURN if known else least_width(area).heading_deg
    if not steep(zone) and not (along == CONTOUR and known):
        return Way(None)
    if crossed == ACUTE:  # the pair lies to either side of the contour
        contour -= tables.value("acute_crossing_deg").number / 2
    if not known:
        return Way(contour % HALF_TURN, "heading_bank_side")
    return Way(contour % HALF_TURN, "heading_pair" if crossed == ACUTE else "heading_contour")


def passes(first: Way, laid: Laid, crossed: str, count: int) -> list[Pass]:
    """Return the first pass with its heading, and the second where it runs another way.

    Further ones follow the first and the second in turn.
    """
    heading = laid.heading_deg
    done = first if first.heading_deg is not None else Way(heading, _found_by(laid))
    angle, rule = {
        RIGHT: (QUARTER, "heading_right_angle"),
        THIN: (tables.value("acute_crossing_deg").number, "heading_acute"),
        ACUTE: (tables.value("acute_crossing_deg").number, "heading_pair"),
    }.get(crossed, (0.0, ""))
    if count < TWO or not angle or not np.isfinite(heading):
        return [Pass(done, max(count, 1))]
    second = Way((heading + angle) % HALF_TURN, rule)
    return [Pass(done, count - count // 2), Pass(second, count // 2)]


def fall_deg(area: BaseGeometry, heights: Heights | None) -> float:
    """Return which way some ground falls, clockwise from north [°]; NaN when nobody can say.

    Parameters
    ----------
    area : Polygon or MultiPolygon
        Longitude/latitude.
    heights : Heights or None
    """
    if heights is None or area.is_empty:
        return np.nan
    points = heights.points[np.isfinite(heights.points).all(axis=1)]
    inside = points[shapely.contains_xy(area, points[:, 0], points[:, 1])]
    if not len(inside):
        return np.nan
    metres = Frame(*inside[0, :2]).to_metres(inside[:, :2])
    try:
        plane = surface.plane(np.column_stack([metres, inside[:, 2]]))
    except ValueError:
        return np.nan
    if not plane.slope_deg:
        return np.nan
    return float(np.degrees(np.arctan2(-plane.east, -plane.north)) % 360)


def _found_by(laid: Laid) -> str:
    convex = laid.regions.rest.is_empty or is_convex(laid.regions.rest)
    return "heading_least_width" if convex else "heading_search"


def _longest_edge(area: BaseGeometry) -> float:
    """Return the heading of the longest straight edge of the outline [°]."""
    rings = shapely.get_exterior_ring(shapely.get_parts(area))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    along = np.diff(points, axis=0)[ring[1:] == ring[:-1]]
    east, north = along[np.argmax(np.hypot(*along.T))]
    return float(np.degrees(np.arctan2(east, north)) % HALF_TURN)
