"""The direction of pass lines in words, for people who walk them without a compass."""

from __future__ import annotations

from typing import Any

import geopandas as gpd
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.frame import Frame
from lawnmap.geometry.passes.headings import least_width
from lawnmap.geometry.passes.laying import Laid
from lawnmap.reference import tables

COMPASS = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip
EDGES = ("building", "paving", "hedge", "fence", "water", "bed", "access")
ALONG_DEG = 10.0  # as near as the eye tells
ACROSS_DEG = 90.0
HOLLOW = 0.8  # of its hull: below that the least width says nothing of the sides
STRAIGHT_M = 0.3  # by which a side may bend and be one side
LONG_SIDE = 0.1  # of the way round: a shorter side is no guide to the eye


def direction(laid: Laid, frame: Frame, features: gpd.GeoDataFrame) -> str:
    """Return how the lines run and where they begin.

    Parameters
    ----------
    laid : Laid
        In metres of `frame`.
    frame : Frame
    features : GeoDataFrame
        The end to start from, or else the edge, is called by what is mapped beside it.
    """
    if not len(laid.bouts):
        return "the headland bouts cover it"
    begin, end = laid.bouts[0]
    from_end, to_end = compass(_bearing(end, begin)), compass(_bearing(begin, end))
    way = f"{from_end} to {to_end}" + (" and back" if len(laid.bouts) > 1 else "")
    edge = f"start at the {compass(laid.start_deg)} edge"
    at_end = _beside(shapely.Point(begin), frame, features)
    along = "" if at_end else _beside(shapely.Point((begin + end) / 2), frame, features)
    return f"{_along(laid)}, {way}; {edge}{along}, from its {from_end} end{at_end}"


def compass(heading_deg: float) -> str:
    """Return the nearest of the eight points of the compass.

    Examples
    --------
    >>> compass(92), compass(359)
    ('east', 'north')
    """
    return COMPASS[round((heading_deg % 360) / 45) % 8]


def _along(laid: Laid) -> str:
    """Return how the lines lie to the sides of the zone; a hollow one, as an L, has no long one."""
    if side := _side(laid.regions.area, laid.heading_deg):
        return f"parallel to the {side} side"
    long_side = least_width(laid.regions.area).heading_deg
    apart = abs((laid.heading_deg - long_side + 90) % 180 - 90)
    if apart <= ALONG_DEG:
        return "along the long side"
    if apart >= ACROSS_DEG - ALONG_DEG:
        return "across, along the short side"
    return f"slantwise at {laid.heading_deg:.0f}°, {apart:.0f}° off the long side"


def _side(area: BaseGeometry, heading_deg: float) -> str:
    """Return which long straight side of a hollow zone the lines run along; empty for none."""
    if area.area > HOLLOW * shapely.convex_hull(area).area:
        return ""
    plain = shapely.orient_polygons(shapely.simplify(area, STRAIGHT_M))
    rings = shapely.get_exterior_ring(shapely.get_parts(plain))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    steps = np.diff(points, axis=0)[ring[1:] == ring[:-1]]
    bearing, length = np.degrees(np.arctan2(*steps.T)), np.hypot(*steps.T)
    near = np.abs((bearing - heading_deg + 90) % 180 - 90) <= ALONG_DEG
    longest = int(np.argmax(np.where(near, length, 0.0)))
    if not near[longest] or length[longest] < LONG_SIDE * length.sum():
        return ""
    return compass(float(bearing[longest]) + ACROSS_DEG)  # what is right of the outline is outside


def _bearing(start: Any, end: Any) -> float:
    east, north = end - start
    return float(np.degrees(np.arctan2(east, north)) % 360)


def _beside(place: BaseGeometry, frame: Frame, features: gpd.GeoDataFrame) -> str:
    """Return what is mapped nearest to a place, if anything is near."""
    here = features[features["feature"].isin(EDGES)]
    if here.empty:
        return ""
    flat = frame.flat(np.asarray(here.geometry.array, dtype=object))
    away = shapely.distance(flat, place)
    nearest = int(np.argmin(away))
    if away[nearest] > tables.value("edge_named_m").number:
        return ""
    name, kind = here["name"].iloc[nearest], here["feature"].iloc[nearest]
    return f" next to {name if isinstance(name, str) and name else f'the {kind}'}"
