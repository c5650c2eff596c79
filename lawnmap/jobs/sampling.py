"""The job ``sampling``: how many cores each zone asks for, and where to take them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import geopandas as gpd
import pandas as pd

from lawnmap.errors import InputRefused
from lawnmap.exports.gis import gpx
from lawnmap.jobs.measure import measure
from lawnmap.model import Site, Specification
from lawnmap.processing.judgement.turf import turf_types
from lawnmap.processing.surveying.core_places import Layout, core_places
from lawnmap.processing.surveying.cores import thatch_mm
from lawnmap.processing.surveying.sampling import Asked, sampling
from lawnmap.processing.surveying.thatch_surface import thatch_surface

MOST_SHOWN = 5


@dataclass(frozen=True)
class SamplingReply:
    """What each zone asks for, what lies between its cores, and the places of those missing."""

    title: str
    table: pd.DataFrame
    surfaces: pd.DataFrame
    places: gpd.GeoDataFrame
    placed: bool


def sampling_of(
    site: Site,
    specification: Specification,
    asked: Asked,
    layout: Layout,
    zones: Collection[str] = (),
) -> SamplingReply:
    """Return how many cores to take and where.

    Parameters
    ----------
    site : Site
    specification : Specification
    asked : Asked
        What is to be known of the thatch.
    layout : Layout
        How the places are laid out.
    zones : collection of str
        Only these; all when empty.

    Raises
    ------
    InputRefused
        For a zone that is not on the site.
    """
    measured = measure(site)
    wanted = measured.zones.loc[_chosen(measured.zones.index.astype(str), zones)]
    taken = thatch_mm(measured.zones, site.features)
    table, places = cores_to_take(
        wanted, measured.lawn, taken, specification, asked=asked, layout=layout
    )
    surfaces = thatch_surface(wanted, measured.lawn, site.features).table
    return SamplingReply(site.title, table, surfaces, places, site.placed)


def cores_to_take(
    zones: gpd.GeoDataFrame,
    lawn: gpd.GeoSeries,
    taken: Mapping[str, Sequence[float]],
    specification: Specification,
    *,
    asked: Asked,
    layout: Layout,
) -> tuple[pd.DataFrame, gpd.GeoDataFrame]:
    """Return the table ``sampling``, and the layer ``core_places`` of the cores that are missing.

    Parameters
    ----------
    zones : GeoDataFrame
        Measured.
    lawn : GeoSeries
        What of each zone is lawn, by zone_id.
    taken : mapping of str to sequence of float
        Thickness in every core of a zone [mm].
    specification, asked, layout
        As for :func:`sampling_of`.
    """
    turf = dict(zip(zones.index, turf_types(zones, specification), strict=True))
    table = sampling(zones, taken, turf, asked)
    counts = dict(zip(table["zone_id"], table["more"], strict=True))
    return table, core_places(lawn, counts, layout)


def waypoints(reply: SamplingReply) -> bytes:
    """Return the places as a GPX file for a phone.

    Raises
    ------
    InputRefused
        When the site has no place on the earth.
    """
    if not reply.placed:
        raise InputRefused(
            "the site has no place on the earth yet, so a phone cannot find the places",
            done="Nothing was written.",
            remedy="Place it first (lawnmap place), or walk a W by the map.",
        )
    rows = zip(reply.places["zone_id"], reply.places["number"], reply.places.geometry, strict=True)
    found = [gpx.core(zone_id, number, place.x, place.y) for zone_id, number, place in rows]
    return gpx.gpx(found, reply.title)


def _chosen(known: pd.Index, zones: Collection[str]) -> list[str]:
    unknown = sorted(set(zones) - set(known))
    if unknown:
        raise InputRefused(
            f"there is no zone {unknown[0]}",
            remedy=f"The site has: {', '.join(known[:MOST_SHOWN])}"
            f"{' …' if len(known) > MOST_SHOWN else ''}.",
        )
    return [each for each in known if not zones or each in zones]
