"""Cut a plan down to what its audience may see; an export cannot leak what it never gets."""

from __future__ import annotations

from typing import Any

import geopandas as gpd
import pandas as pd

from lawnmap import schema
from lawnmap.days import Dates
from lawnmap.model import Plan, Site, Specification
from lawnmap.paper import Paper

# Choices that stand on a paper as they are; everything else in a specification stays at home.
SHOWN_CHOICES = (
    "turf_type",
    "iron",
    "country",
    "season",
    "first_day",
    "contact",
    "keep_off",
    "bags",
)
# Of the site's header: its made-up id and revision say what a reply from the page is about.
SHOWN_HEADER = (
    "format",
    "revision",
    "site_id",
    "title",
    "surveyed",
    "timezone",
    "placed",
    "anchor",
)
MONEY = ("money",)
# What the client is asked is between owner and client; a crew works without knowing it.
QUOTE = "quote"
SEE_QUOTE = ("client", "owner")


def disclose(plan: Plan, audience: str, **paper: Any) -> Paper:
    """Return a paper of the plan for one audience.

    Parameters
    ----------
    plan : Plan
    audience : str
        One of ``schema.AUDIENCES``.
    **paper
        Further fields of :class:`lawnmap.paper.Paper`.

    Notes
    -----
    An allow-list: columns that the schema does not know, or keeps for a narrower circle, are
    dropped from every table. Foreign attributes of a client's file never leave this way.
    """
    site = _site(plan.site, audience)
    cut = Plan(
        site=site,
        specification=_specification(plan.specification, audience),
        zones=_zones(plan.zones, audience),
        steps=_table(plan.steps, "steps", audience),
        totals=_table(plan.totals, "totals", audience),
        loads=_table(plan.loads, "loads", audience),
        cautions=plan.cautions,
        today=plan.today,
        layers=_layers(plan, audience),
        warnings=plan.warnings if audience == "owner" else (),
        tables=_tables(plan, audience),
        grids=plan.grids,
        dates=plan.dates if audience in ("owner", "crew") else Dates(plan.dates.visits),
    )
    return Paper(plan=cut, audience=audience, **paper)


def _zones(zones: gpd.GeoDataFrame, audience: str) -> gpd.GeoDataFrame:
    seen = [name for name in schema.names("zones", audience=audience) if name in zones.columns]
    return zones[[*seen, "geometry"]]


def _layers(plan: Plan, audience: str) -> dict[str, gpd.GeoDataFrame]:
    """Return the layers of which the audience may see anything, each with its allowed columns.

    A layer the schema does not know is shown as shapes without a word.
    """
    cut = {}
    for name, layer in plan.layers.items():
        seen = [each for each in schema.names(name, audience=audience) if each in layer.columns]
        if seen or not schema.columns(name):
            cut[name] = layer[[*seen, "geometry"]]
    return cut


def _tables(plan: Plan, audience: str) -> dict[str, pd.DataFrame]:
    """Return the further tables of which the audience may see anything at all."""
    return {
        name: _table(table, name, audience)
        for name, table in plan.tables.items()
        if schema.names(name, audience=audience) and (name != QUOTE or audience in SEE_QUOTE)
    }


def _table(table: pd.DataFrame, name: str, audience: str) -> pd.DataFrame:
    return table[[each for each in schema.names(name, audience=audience) if each in table.columns]]


def _site(site: Site, audience: str) -> Site:
    """Return the site with allowed facts only, in its document too."""
    header = {key: site.header[key] for key in SHOWN_HEADER if key in site.header}
    features = []
    for feature in site.document["features"]:
        properties = feature["properties"]
        table = "zones" if properties.get("feature") == "zone" else "features"
        seen = {"feature", *schema.names(table, audience=audience)}
        features.append(
            {
                "type": "Feature",
                "properties": {k: v for k, v in properties.items() if k in seen},
                "geometry": feature["geometry"],
            }
        )
    return Site({"type": "FeatureCollection", "lawnmap": header, "features": features})


def _specification(specification: Specification, audience: str) -> Specification:
    shown = SHOWN_CHOICES + (MONEY if audience == "owner" else ())
    return Specification({k: v for k, v in specification.choices.items() if k in shown})
