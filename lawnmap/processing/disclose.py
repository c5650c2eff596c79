"""Cut a plan down to what its audience may see; an export cannot leak what it never gets."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap import schema
from lawnmap.days import Dates
from lawnmap.model import Plan, Site, Specification
from lawnmap.paper import Earlier, Paper

# Choices that stand on a paper as they are; everything else in a specification stays at home.
SHOWN_CHOICES = (
    "turf_type",
    "iron",
    "country",
    "season",
    "first_day",
    "contact",
    "keep_off",
    "applied_by",
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
# What may be said of a zone beside its earlier survey; what it came from is the owner's.
COMPARED = (
    "zone_id", "measure", "unit", "before_from", "before", "before_low", "before_high",
    "after_from", "after", "after_low", "after_high", "change", "verdict", "reason", "recut", "kin",
)  # fmt: skip
# What the client is asked is between owner and client; a crew works without knowing it.
QUOTE = "quote"
SEE_QUOTE = ("client", "owner")
# How the work is organised, by how many people and in which programme, is theirs alone.
AT_WORK = ("owner", "crew")


# Nobody gets these, not even the owner, unless they are named one by one.
NAMED = ("private_note",)


class Sees(NamedTuple):
    """Whom a paper is for, and what goes out to them that otherwise stays at home."""

    audience: str
    also: tuple[str, ...] = ()

    def names(self, table: str) -> list[str]:
        """Return the columns of a table that they see, in the order of the schema."""
        wide = set(schema.names(table, audience=self.audience)) - set(NAMED)
        return [name for name in schema.names(table) if name in wide or name in self.also]


def disclose(plan: Plan, audience: str, *, also: tuple[str, ...] = (), **paper: Any) -> Paper:
    """Return a paper of the plan for one audience.

    Parameters
    ----------
    plan : Plan
    audience : str
        One of ``schema.AUDIENCES``.
    also : tuple of str
        Columns of a narrower circle that were named one by one: see :func:`kept_back`.
    **paper
        Further fields of :class:`lawnmap.paper.Paper`.

    Notes
    -----
    An allow-list: columns that the schema does not know, or keeps for a narrower circle, are
    dropped from every table. Foreign attributes of a client's file never leave this way.
    """
    sees = Sees(audience, also)
    others = set() if audience in AT_WORK else set(plan.organising)
    site = _site(plan.site, sees)
    cut = Plan(
        site=site,
        specification=_specification(plan.specification, audience),
        zones=_zones(plan.zones, sees),
        steps=_table(plan.steps, "steps", sees),
        totals=_table(plan.totals, "totals", sees),
        loads=_table(plan.loads, "loads", sees),
        cautions=tuple(each for each in plan.cautions if each not in others),
        today=plan.today,
        layers=_layers(plan, sees),
        warnings=plan.warnings if audience == "owner" else (),
        tables=_tables(plan, sees),
        grids=plan.grids,
        dates=plan.dates if audience in AT_WORK else Dates(plan.dates.visits),
    )
    earlier = paper.pop("earlier", None)
    then = _earlier(earlier, plan.zones.index, sees)
    return Paper(plan=cut, audience=audience, earlier=then, **paper)


def kept_back(audience: str) -> list[str]:
    """Return the columns that an audience sees only when they are named, of the tables it has."""
    wide = Sees(audience)
    shown = {column.table: set(wide.names(column.table)) for column in schema.COLUMNS}
    return sorted(
        {
            column.name
            for column in schema.COLUMNS
            if shown[column.table] and column.name not in shown[column.table]
        }
    )


def _earlier(earlier: Earlier | None, today: pd.Index, sees: Sees) -> Earlier | None:
    """Return an earlier survey cut down; what zones of today were cut from is the owner's."""
    if earlier is None:
        return None
    zones, changes = earlier.zones, earlier.changes
    changes = changes[[each for each in COMPARED if each in changes.columns]]
    if "came_from" not in sees.names("zones"):
        zones = zones[zones.index.isin(today)]
        changes = changes[changes["zone_id"].isin(today)].assign(kin="")
    return replace(earlier, zones=_zones(zones, sees), changes=changes)


def _zones(zones: gpd.GeoDataFrame, sees: Sees) -> gpd.GeoDataFrame:
    seen = [name for name in sees.names("zones") if name in zones.columns]
    return zones[[*seen, "geometry"]]


def _layers(plan: Plan, sees: Sees) -> dict[str, gpd.GeoDataFrame]:
    """Return the layers of which the audience may see anything, each with its allowed columns.

    A layer the schema does not know is shown as shapes without a word.
    """
    cut = {}
    for name, layer in plan.layers.items():
        seen = [each for each in sees.names(name) if each in layer.columns]
        if seen or not schema.columns(name):
            cut[name] = layer[[*seen, "geometry"]]
    return cut


def _tables(plan: Plan, sees: Sees) -> dict[str, pd.DataFrame]:
    """Return the further tables of which the audience may see anything at all."""
    return {
        name: _table(table, name, sees)
        for name, table in plan.tables.items()
        if schema.names(name, audience=sees.audience)
        and (name != QUOTE or sees.audience in SEE_QUOTE)
    }


def _table(table: pd.DataFrame, name: str, sees: Sees) -> pd.DataFrame:
    return table[[each for each in sees.names(name) if each in table.columns]]


def _site(site: Site, sees: Sees) -> Site:
    """Return the site with allowed facts only, in its document too."""
    header = {key: site.header[key] for key in SHOWN_HEADER if key in site.header}
    features = []
    for feature in site.document["features"]:
        properties = feature["properties"]
        table = "zones" if properties.get("feature") == "zone" else "features"
        seen = {"feature", *sees.names(table)}
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
