"""Days of several sites as if they were one plan, for what is made of the days of a plan.

The tables of the plans stand under one another, each row with its ``site_id``:

=========  =====================================================================================
steps      the table ``steps`` of the schema
loads      the table ``loads``
zones      ``site_id``, ``zone_id``, ``name``: the zones in the order in which their own plan
           numbers them
passes     ``site_id``, ``zone_id``, ``cable_m`` of the table ``passes``; it may be left out
features   ``site_id``, ``feature``: one row for each way in (``access``); it may be left out
=========  =====================================================================================

``sites`` says what each site is called and from which depot it is worked.
"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import geopandas as gpd
import pandas as pd

from lawnmap.exports.crew.job import Job
from lawnmap.exports.crew.visits import Visit, visits
from lawnmap.exports.wording.amounts import text
from lawnmap.model import LONLAT, Plan, Site, Specification
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.paper import Paper, SitesPaper

BETWEEN = "\x1f"  # parts a site from its zone: no id holds it, and no page shows it
WAY_IN = "access"
OF_A_SITE = ("zones", "steps", "loads", "passes")


class SitesJob(Job):
    """What a crew's papers ask of the plans of several sites; a zone is told with its site."""

    def __init__(self, paper: Paper, titles: dict[str, str]) -> None:
        super().__init__(paper)
        self.titles = titles
        numbers: dict[str, int] = {}
        self._of_site: dict[str, int] = {}
        for zone_id in self.zones:
            site = site_of(zone_id)
            self._of_site[zone_id] = numbers[site] = numbers.get(site, 0) + 1

    def pill(self, zone_id: str) -> Html:
        """Return the number that a zone has on its own site's papers."""
        return tag("span", self._of_site.get(zone_id, 0), class_="pill")

    def name(self, zone_id: str) -> str:
        """Return what people call a zone."""
        return text(self.zones.get(zone_id, {}).get("name")) or zone_id.partition(BETWEEN)[2]

    def zone(self, zone_id: str) -> Html:
        """Return a zone behind its site, as its number and name."""
        site = self.titles.get(site_of(zone_id), site_of(zone_id))
        own = [self.pill(zone_id), " ", said(self.name(zone_id))]
        return join([tag("strong", said(site)), ": ", *own])


def site_of(zone_id: str) -> str:
    """Return the site of a zone of several sites."""
    return zone_id.partition(BETWEEN)[0]


class Round:
    """The days of a depot's work at all its sites.

    Attributes
    ----------
    job : SitesJob
    """

    def __init__(self, paper: SitesPaper, depot: str) -> None:
        sites = paper.table("sites")
        own = sites[sites["depot"].map(text) == depot]
        ids = own["site_id"].astype(str)
        plan = _plan(paper, list(ids))
        called = zip(ids, own["title"].map(text), strict=True)
        made = Paper(plan, audience=paper.audience, units=paper.units)
        self.job = SitesJob(made, {site: title for site, title in called if title})
        things = paper.table("features")
        ways = things[things["feature"] == WAY_IN] if len(things) else things
        self._ways = ways["site_id"].value_counts().to_dict() if len(ways) else {}

    def days(self) -> list[Visit]:
        """Return the days on which somebody goes out, each with its steps site by site."""
        found = visits(self.job.paper.plan, self.job.units)
        return [each for each in found if each.day]

    def on(self, visit: Visit) -> SitesJob:
        """Return what the papers of one such day ask: of ways in, those of its sites alone."""
        sites = dict.fromkeys(map(site_of, visit.zones))
        job, paper = copy.copy(self.job), self.job.paper
        here = _with_ways(sum(int(self._ways.get(site, 0)) for site in sites))
        job.paper = paper.of(plan=replace(paper.plan, site=here))
        return job


def _plan(paper: SitesPaper, sites: Sequence[str]) -> Plan:
    """Return the plans of some sites as one, in which an id names site and zone."""
    tables = {name: _of(paper.table(name), sites) for name in OF_A_SITE}
    zones = tables["zones"].set_index("zone_id") if len(tables["zones"]) else pd.DataFrame()
    return Plan(
        site=_with_ways(0),
        specification=Specification(paper.choices),
        zones=gpd.GeoDataFrame(zones, geometry=[None] * len(zones), crs=LONLAT),
        steps=tables["steps"],
        totals=pd.DataFrame(),
        loads=tables["loads"],
        cautions=(),
        today=paper.today,
        tables={"passes": tables["passes"]} if len(tables["passes"]) else {},
    )


@cache
def _with_ways(many: int) -> Site:
    """Return a site of which nothing is known but how many ways in it has."""
    point = {"type": "Point", "coordinates": [0.0, 0.0]}
    way = {"type": "Feature", "properties": {"feature": WAY_IN}, "geometry": point}
    return Site({"type": "FeatureCollection", "features": [way] * many})


def _of(table: pd.DataFrame, sites: Sequence[str]) -> pd.DataFrame:
    """Return the rows of some sites in the order of these."""
    if not len(table):
        return table
    order = {site: place for place, site in enumerate(sites)}
    place = table["site_id"].map(order)
    own = table[place.notna()].assign(place=place[place.notna()])
    own = own.sort_values("place", kind="stable")
    if "zone_id" in own.columns:
        own = own.assign(zone_id=own["site_id"].astype(str) + BETWEEN + own["zone_id"].astype(str))
    return own.drop(columns=["site_id", "place"]).reset_index(drop=True)
