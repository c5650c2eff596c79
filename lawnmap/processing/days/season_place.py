"""On which half of the earth a site lies, and how far published seasons hold there."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd

from lawnmap.model import Specification

PUBLISHED_FOR = ("GB", "IE")
# For a site without a place on the earth, which lies about an anchor near the equator.
SOUTHERN = ("AR", "AU", "CL", "FK", "NZ", "UY", "ZA")
NEAR_EQUATOR_DEG = 1.0
TROPIC_DEG = 23.4


class Place(NamedTuple):
    """The half of the earth, and what has to be said of it."""

    south: bool
    cautions: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


def place_of(zones: gpd.GeoDataFrame, specification: Specification) -> Place:
    """Return where the seasons of a site are those of, by its latitude, else by its country."""
    country = specification.choice("country") or ""
    _, low, _, high = zones.total_bounds
    latitude = (low + high) / 2  # NaN without zones: no place on earth either
    placed = abs(latitude) >= NEAR_EQUATOR_DEG
    south = bool(latitude < 0) if placed else country in SOUTHERN
    cautions = []
    if country not in PUBLISHED_FOR:
        where = f"this site is in {country}" if country else "the country is not set"
        cautions.append(
            f"Seasons are those published for the UK, and {where}: check with local practice."
        )
    if placed and abs(latitude) < TROPIC_DEG:
        cautions.append("Between the tropics these seasons do not hold: ask locally.")
    told = ("South of the equator: seasons are taken six months later.",) if south else ()
    return Place(south, tuple(cautions), told)
