"""The hours of sun that a plan goes by: as seen first, else as worked out from the same facts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.found import Heights, SurfaceHeights
from lawnmap.light import Sunlight
from lawnmap.processing.sun.facts import changed, facts_of
from lawnmap.reference import tables

Floats = npt.NDArray[np.float64]

FIGURES = ("mean_h", "low_h", "high_h")
SEEN, WORKED_OUT = "seen", "worked out"
MOST_SHOWN = 4
AGAIN = "Run lawnmap sun again; until then they are not used."


class Used(NamedTuple):
    """Zones with the columns of the step ``sun``, whose hours those are, and what to know."""

    zones: gpd.GeoDataFrame
    sunlight: Sunlight | None
    told: tuple[str, ...]


def used(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    heights: Heights | None,
    kept: Sequence[Sunlight],
    *,
    surface: SurfaceHeights | None = None,
) -> Used:
    """Add the hours of sun to the zones.

    Parameters
    ----------
    zones : GeoDataFrame
        With ``sun_hours_seen``.
    features : GeoDataFrame
    heights : Heights or None
    kept : sequence of Sunlight
        What was worked out for this site before; of the growing season only are used.
    surface : SurfaceHeights, optional
        Of what stands on the site and round it.

    Returns
    -------
    Used
    """
    season = [each for each in kept if each.season]
    now = facts_of(zones, features, heights, surface) if season else {}
    fit = [each for each in season if not changed(each.facts, now)]
    if fit:
        best = min(fit, key=lambda each: each.step_m)
        lit = with_sun(zones, best)
        return Used(lit, best, apart(lit))
    told: tuple[str, ...] = ()
    if season:
        parts = min((changed(each.facts, now) for each in season), key=len)
        told = (f"The hours of sun are out of date: other {' and '.join(parts)} since. {AGAIN}",)
    return Used(with_sun(zones, None), None, told)


def with_sun(zones: gpd.GeoDataFrame, sunlight: Sunlight | None) -> gpd.GeoDataFrame:
    """Return zones with the columns of the step ``sun`` in the schema."""
    mean, low, high = _of_zones(zones, sunlight)
    seen = zones["sun_hours_seen"].to_numpy(dtype=float)
    known = np.select([~np.isnan(seen), ~np.isnan(mean)], [1, 2], 0)
    source = np.array(["", SEEN, WORKED_OUT], dtype=object)[known]
    return zones.assign(
        sun_hours=mean,
        sun_low_h=low,
        sun_high_h=high,
        sun_used_h=np.where(np.isnan(seen), mean, seen),
        sun_source=source,
    )


def _of_zones(zones: gpd.GeoDataFrame, sunlight: Sunlight | None) -> tuple[Floats, ...]:
    """Return mean, least and most hours of each zone [h]; NaN where nothing was worked out."""
    if sunlight is None:
        return tuple(np.full(len(zones), np.nan) for _ in FIGURES)
    found = [sunlight.zones.get(str(each)) for each in zones.index]
    return tuple(
        np.array([getattr(each, name) if each else np.nan for each in found], dtype=float)
        for name in FIGURES
    )


def apart(zones: gpd.GeoDataFrame) -> tuple[str, ...]:
    """Return which zones were seen to have other hours than are worked out; nothing for none."""
    seen, found = (zones[name].to_numpy(dtype=float) for name in ("sun_hours_seen", "sun_hours"))
    far = np.abs(seen - found) > tables.value("sun_apart_h").number
    if not far.any():
        return ()
    pairs = [
        f"{zone_id} ({one:.3g} h seen, {other:.1f} h worked out)"
        for zone_id, one, other in zip(zones.index[far], seen[far], found[far], strict=True)
    ]
    more = f" and {len(pairs) - MOST_SHOWN} more" if len(pairs) > MOST_SHOWN else ""
    listed = f"{', '.join(pairs[:MOST_SHOWN])}{more}"
    return (
        f"Hours of sun differ: {listed}. What was seen is used. Worked out is what a clear sky "
        "gives, with what is mapped in the way: look for clouds in what was seen, and for trees "
        "and houses that are not mapped.",
    )
