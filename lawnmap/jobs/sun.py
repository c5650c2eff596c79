"""The job ``sun``: hours of direct sun for every zone of a site, kept until its facts change."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

import geopandas as gpd
import shapely

from lawnmap.errors import InputRefused, UsageProblem
from lawnmap.geometry.frame import about
from lawnmap.jobs.measure import MeasureReply, measure
from lawnmap.jobs.opening import Opened
from lawnmap.light import Sunlight
from lawnmap.model import Site
from lawnmap.processing.sun import leaf
from lawnmap.processing.sun.facts import SURFACE, facts_of
from lawnmap.processing.sun.used import apart, with_sun
from lawnmap.processing.sun.zone_sun import Spell, zone_sun
from lawnmap.store import sunlight as store

MOST_DAYS = 366


@dataclass(frozen=True)
class Asked:
    """What a person wants to know.

    Attributes
    ----------
    today : date
        Tells the year of the growing season.
    first, last : date or None
        The range of days; the growing season when both are None, one day without a last.
    step_m : float or None
        From a point of the grid to the next [m].
    """

    today: dt.date
    first: dt.date | None = None
    last: dt.date | None = None
    step_m: float | None = None


@dataclass(frozen=True)
class SunReply:
    """Hours of sun, the zones with them, and what a person should know.

    Attributes
    ----------
    sunlight : Sunlight
    zones : GeoDataFrame
        Measured, with the columns of the step ``sun``.
    kept : bool
        Whether they had been worked out before.
    warnings : tuple of str
    """

    sunlight: Sunlight
    zones: gpd.GeoDataFrame
    kept: bool
    warnings: tuple[str, ...]

    @property
    def by_surface(self) -> bool:
        """Whether surface heights were counted, besides what is mapped."""
        return SURFACE in self.sunlight.facts


def sun(opened: Opened, asked: Asked) -> SunReply:
    """Return the hours of sun of every zone, worked out or found again.

    Raises
    ------
    InputRefused
        When the site has no place on earth or no zone, or `step_m` is too fine.
    UsageProblem
        When the days make no range.
    ExtraNeeded
        Without pvlib.
    """
    site = opened.site
    refuse_unplaced(site)
    spell = _spell(site, asked)
    facts = facts_of(site.zones, site.features, site.heights, site.surface)
    key = store.key_of(facts, spell.first, spell.last, asked.step_m)
    measured = measure(site)
    found = store.read(opened.folder, key) if opened.folder else None
    warnings: tuple[str, ...] = ()
    again = found is not None
    if found is None:
        found = _worked_out(site, measured, spell, asked.step_m, facts)
        if opened.folder:
            warnings = store.keep(opened.folder, key, found)
    zones = with_sun(measured.zones, found)
    differing = apart(zones) if found.season else ()
    return SunReply(found, zones, again, (*warnings, *found.told, *differing))


def refuse_unplaced(site: Site) -> None:
    """Refuse a site for which nobody can say where the sun stands.

    Raises
    ------
    InputRefused
        When it has no place on earth, or no zone.
    """
    if not site.placed:
        raise InputRefused(
            "this site has no place on earth yet, and the sun stands elsewhere at every latitude",
            remedy="Place it with lawnmap place and two or more control points.",
        )
    if site.zones.empty:
        raise InputRefused(
            "there is no zone on this site yet", remedy="Read a site plan into it first."
        )


def _worked_out(
    site: Site, measured: MeasureReply, spell: Spell, step_m: float | None, facts: dict[str, str]
) -> Sunlight:
    if measured.lawn.is_empty.all():
        raise InputRefused(
            "there is no lawn in any zone", remedy="Look for a bed or building that covers it all."
        )
    found = zone_sun(
        measured.zones,
        measured.lawn,
        site.features,
        site.heights,
        spell,
        step_m=step_m,
        surface=site.surface,
    )
    return replace(found, facts=facts)


def _spell(site: Site, asked: Asked) -> Spell:
    """Return the days to count; the growing season is that of the place."""
    latitude = about(shapely.box(*site.zones.total_bounds)).latitude
    season = leaf.season(asked.today.year, latitude)
    if asked.first is None and asked.last is None:
        return Spell(*season, season=True)
    if asked.first is None:
        raise UsageProblem("--to has no --from", remedy="Give the first day with --from.")
    last = asked.last or asked.first
    if last < asked.first:
        raise UsageProblem("--to is before --from", remedy="Swap the two days.")
    if (last - asked.first).days >= MOST_DAYS:
        raise UsageProblem("more than a year of days", remedy="Ask for a year or less.")
    return Spell(asked.first, last, season=(asked.first, last) == season)
