"""The job ``measure``: true areas of a site's zones, with what was taken out and why it differs."""

from __future__ import annotations

from dataclasses import dataclass

import geopandas as gpd
import numpy as np
import shapely

from lawnmap.errors import InputRefused
from lawnmap.model import Site
from lawnmap.processing import measure as step
from lawnmap.processing.entering.outlines import HALF_ROUND
from lawnmap.reference import tables
from lawnmap.store.folder import SITE

SOURCES = ("drawn", "tape", "gps", "drawing", "plan picture")
ONE_SITE_KM = 5.0
SLOPES_APART_DEG = 5.0
STEEP_DEG = 45.0
MOST_SHOWN = 5


@dataclass(frozen=True)
class MeasureReply:
    """Measured zones, what of each is lawn, and what a person should know."""

    zones: gpd.GeoDataFrame
    lawn: gpd.GeoSeries
    warnings: tuple[str, ...]


def measure(site: Site) -> MeasureReply:
    """Measure every zone of a site. Each is measured where it lies, wherever that is.

    Returns
    -------
    MeasureReply

    Raises
    ------
    InputRefused
        When an outline crosses itself or reaches round the earth: it has no area that anybody
        could be sure of.
    """
    refuse_unsound(site.zones, site.features)
    measured = step.measure(site.zones, site.features, outline_sigmas(), site.heights)
    warnings = [
        f"Zones {one} and {other} share {area:.1f} m²; it is counted in {one} only."
        for one, other, area in measured.shared
    ]
    span = step.largest_span_km(site.zones)
    if span > ONE_SITE_KM:
        warnings.append(
            f"The zones lie up to {span:,.0f} km apart; each is measured where it lies."
        )
    unknown = measured.zones["area_sigma_m2"].isna().sum()
    if unknown:
        warnings.append(
            f"For {unknown} of {len(measured.zones)} zones it is not known how the outline was "
            "got, so there is no ± for the area: set outline_source (drawn, tape, gps, drawing, "
            "plan picture)."
        )
    warnings += slope_warnings(measured.zones)
    return MeasureReply(measured.zones, measured.lawn, tuple(warnings))


def refuse_unsound(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame) -> None:
    """Refuse an outline that no reader would have let in, but somebody's hand may have written.

    Parameters
    ----------
    zones, features : GeoDataFrame
        Longitude/latitude.

    Raises
    ------
    InputRefused
        With the zone or feature.
    """
    for table, kind in ((zones, "zone"), (features, "")):
        shapes = np.asarray(table.geometry.array, dtype=object)
        valid = shapely.is_valid(shapes)
        west, _, east, _ = shapely.bounds(shapes).T
        for place in np.flatnonzero(~valid | (east - west > HALF_ROUND)):
            row = table.iloc[place]
            named = (
                row["name"] if isinstance(row["name"], str) and row["name"] else table.index[place]
            )
            raise InputRefused(
                "the outline reaches across the 180° meridian"
                if valid[place]
                else f"the outline is not sound ({shapely.is_valid_reason(shapes[place])})",
                file=SITE,
                place=f"{kind or row['feature']} {named}",
                remedy="Mend it with lawnmap mark, or read the site plan again with --repair.",
            )


def slope_warnings(zones: gpd.GeoDataFrame) -> list[str]:
    """Return what a person should know of slopes by heights; nothing for a site without heights."""
    told, bare = [], []
    for zone_id, zone in zones[zones["heights_cover_pct"].notna()].iterrows():
        if zone["slope_source"] != "heights":
            bare.append(f"{zone_id} ({zone['heights_cover_pct']:.0f} %)")
            continue
        seen, found = zone["slope_seen_deg"], zone["slope_deg"]
        if abs(seen - found) > SLOPES_APART_DEG:
            told.append(
                f"Zone {zone_id}: the slope is {seen:.0f}° as seen and {found:.0f}° by heights. "
                "The heights are used; look again."
            )
        if zone["slope_most_deg"] > STEEP_DEG:
            told.append(
                f"Zone {zone_id}: by heights it is up to {zone['slope_most_deg']:.0f}° steep. No "
                "lawn is; look for a wall, a hedge or a wrong height."
            )
    if bare:
        told.append(
            f"Heights cover too little of {some(bare)}: 80 % is needed. The slope is taken as "
            "seen, or else as level."
        )
    return told


def some(names: list[str]) -> str:
    """Return the first few names, and how many more there are."""
    more = f" and {len(names) - MOST_SHOWN} more" if len(names) > MOST_SHOWN else ""
    return ", ".join(names[:MOST_SHOWN]) + more


def outline_sigmas() -> dict[str, float]:
    """Return the standard error of a corner by how the outline was got [m]."""
    return {
        name: tables.value(f"outline_sigma_{name.replace(' ', '_')}_m").number for name in SOURCES
    }
