"""What a site and a plan say of themselves in one line, or in a small table under a cell."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sized
from typing import Any, Protocol

import geopandas as gpd

from lawnmap.pages.short_table import short_table

SHORT = ("name", "ground_area_m2", "moss_class", "thatch_class", "verdict")  # of a zone


class _HasDocument(Protocol):
    @property
    def document(self) -> Mapping[str, Any]: ...


class _Planned(Protocol):
    @property
    def site(self) -> Any: ...
    @property
    def today(self) -> dt.date: ...
    @property
    def zones(self) -> gpd.GeoDataFrame: ...
    @property
    def steps(self) -> Sized: ...
    @property
    def dates(self) -> Any: ...
    @property
    def cautions(self) -> Sized: ...
    @property
    def warnings(self) -> Sized: ...


class SiteGlance:
    """The short text of a site: its title and how much there is; no name of a zone, no place."""

    def __repr__(self: _HasDocument) -> str:
        """Return the title, which is public, and counts."""
        features = self.document.get("features", [])
        zones = sum(each["properties"].get("feature") == "zone" for each in features)
        title = self.document.get("lawnmap", {}).get("title", "")
        return f"<Site {title!r}: {zones} zones, {len(features) - zones} other features>"


class PlanGlance:
    """The short text of a plan, and its zones with their verdicts as a small table."""

    def __repr__(self: _Planned) -> str:
        """Return how much of it there is, on one line."""
        said = [
            f"{len(self.zones)} zones",
            f"{len(self.steps)} steps on {len(self.dates.visits)} days",
            f"{len(self.cautions)} cautions",
            f"{len(self.warnings)} warnings",
        ]
        return f"<Plan of {self.site.title!r} for {self.today}: {', '.join(said)}>"

    def _repr_html_(self: _Planned) -> str:
        """Return each zone with its area and verdict as a small table, for a notebook."""
        shown = [name for name in SHORT if name in self.zones.columns]
        rows = [
            [zone_id, *(f"{each:,.1f}" if isinstance(each, float) else each for each in cells)]
            for zone_id, *cells in self.zones[shown].itertuples(name=None)
        ]
        return short_table(repr(self), ["zone_id", *shown], rows)
