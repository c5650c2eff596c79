"""Whether a table has what a step needs, asked before the step is begun."""

from __future__ import annotations

from collections.abc import Iterable

import geopandas as gpd
import pandas as pd
import pyproj

from lawnmap import schema
from lawnmap.errors import CRSNeeded, InputRefused, UsageProblem
from lawnmap.jobs.ready import Site
from lawnmap.model import LONLAT

JUDGED = ("choose", "blade_strips")  # steps of the schema that are one step in a chain
OF_WORDS = {"causes", "stop_it", "stop_it_rules", "ways_out"}  # read by people, and by no step


def check_zones(zones: gpd.GeoDataFrame, site: Site, done: Iterable[str]) -> None:
    """Refuse a table that a step could not work on.

    Parameters
    ----------
    zones : GeoDataFrame
    site : Site
    done : iterable of str
        The steps whose columns it must have.

    Raises
    ------
    InputRefused
        With the first column that is missing and the step that adds it.
    CRSNeeded
        When it is not in longitude and latitude.
    UsageProblem
        When there is no site behind it.
    """
    _check_site(site)
    if not isinstance(zones, gpd.GeoDataFrame):
        raise InputRefused(
            f"are a {type(zones).__name__}, not a GeoDataFrame",
            place="zones",
            remedy="Pipe the zones of a site: site.zones.pipe(lawnmap.measure, site).",
        )
    missing = _missing(zones, [each.name for each in schema.facts("zones")])
    if missing or zones.active_geometry_name is None:
        raise InputRefused(
            f"lack {missing or 'a geometry'}",
            place="zones",
            remedy="A table of your own becomes a site first: site = lawnmap.read(zones).",
        )
    if zones.crs is None or not zones.crs.equals(pyproj.CRS(LONLAT), ignore_axis_order=True):
        raise CRSNeeded(
            f"are in {zones.crs.name if zones.crs else 'no CRS'}; a step takes longitude and "
            "latitude",
            place="zones",
            remedy="Pipe the zones of a site, which are: site = lawnmap.read(zones).",
        )
    for step in done:
        lacking = _missing(zones, _made_by(step))
        if lacking:
            raise InputRefused(
                f"lack {lacking}", place="zones", remedy=f"Pipe them through lawnmap.{step} first."
            )


def _made_by(step: str) -> list[str]:
    """Return the columns that a step needs to have added."""
    names = JUDGED if step == "choose" else (step,)
    made = [each.name for each in schema.columns("zones") if each.step in names]
    return [each for each in made if each not in OF_WORDS]


def _missing(table: pd.DataFrame, names: Iterable[str]) -> str:
    """Return which columns a table lacks, in words; nothing when it has them all."""
    lacking = [each for each in names if each not in table.columns and each != table.index.name]
    more = f" and {len(lacking) - 1} more" if len(lacking) > 1 else ""
    return f"the column {lacking[0]!r}{more}" if lacking else ""


def check_steps(steps: pd.DataFrame, site: Site) -> None:
    """Refuse a table that is not a table of steps.

    Parameters
    ----------
    steps : DataFrame
    site : Site

    Raises
    ------
    InputRefused
        With the first column that is missing.
    UsageProblem
        When there is no site behind it.
    """
    _check_site(site)
    names = [each.name for each in schema.columns("steps") if each.step == "steps"]
    lacking = _missing(steps, names) if isinstance(steps, pd.DataFrame) else "all columns"
    if lacking:
        raise InputRefused(
            f"lack {lacking}", place="steps", remedy="Take them from lawnmap.steps(zones, site)."
        )


def _check_site(site: Site) -> None:
    if not isinstance(site, Site):
        raise UsageProblem(
            f"a step takes a site after its table, not a {type(site).__name__}",
            remedy="Open one with lawnmap.open_site, or read a table with lawnmap.read.",
        )
