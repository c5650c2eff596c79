"""The job ``measure``: true areas of a site's zones, with what was taken out and why it differs."""

from __future__ import annotations

from dataclasses import dataclass

import geopandas as gpd

from lawnmap.model import Site
from lawnmap.processing import measure as step
from lawnmap.reference import tables

SOURCES = ("drawn", "tape", "gps", "drawing", "plan picture")
ONE_SITE_KM = 5.0


@dataclass(frozen=True)
class MeasureReply:
    """Measured zones, what of each is lawn, and what a person should know."""

    zones: gpd.GeoDataFrame
    lawn: gpd.GeoSeries
    warnings: tuple[str, ...]


def measure(site: Site) -> MeasureReply:
    """Measure every zone of a site. Each is measured where it lies, wherever that is."""
    measured = step.measure(site.zones, site.features, outline_sigmas())
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
    return MeasureReply(measured.zones, measured.lawn, tuple(warnings))


def outline_sigmas() -> dict[str, float]:
    """Return the standard error of a corner by how the outline was got [m]."""
    return {
        name: tables.value(f"outline_sigma_{name.replace(' ', '_')}_m").number for name in SOURCES
    }
