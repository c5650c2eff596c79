"""The task of many sites: zones in, and for each partition its zones, its sites and their sums."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap import schema
from lawnmap.jobs.sites.apart import apart
from lawnmap.jobs.sites.engine import partitions
from lawnmap.jobs.sites.partition import Terms
from lawnmap.processing.many.totals_by import LEVELS, SITE, totals_by

TOTALS = "totals_by"
TABLES = (partitions.ZONES, "sites", "site_needs", "site_hours", TOTALS)


class Reduced(NamedTuple):
    """What is left of a partition when its tables are on disk.

    Attributes
    ----------
    number : int
        Of the partition.
    totals : DataFrame
        The table ``totals_by`` of its sites, but for the level of single sites.
    """

    number: int
    totals: pd.DataFrame


@dataclass(frozen=True)
class WholeSites:
    """Partitions of whole sites, from one folder to another.

    Attributes
    ----------
    source : Path
        Folder of partitions: ``zones``, and ``features`` where anything else is mapped.
    out : Path
        Folder for the tables ``zones``, ``sites``, ``site_needs``, ``site_hours`` and
        ``totals_by``. A partition whose totals are there already is not worked again, so the folder
        belongs to one source and one set of terms.
    terms : Terms
    """

    source: Path
    out: Path
    terms: Terms

    def read(self, number: int) -> gpd.GeoDataFrame:
        """Return the zones of a partition."""
        return partitions.read(self.source, partitions.ZONES, number)

    def done(self, number: int) -> Reduced | None:
        """Return what a partition came to, when it was worked before; None when it was not."""
        paths = [partitions.path_of(self.out, name, number) for name in TABLES]
        if not all(path.exists() for path in paths):  # a power cut may have taken any of them
            return None
        return Reduced(number, partitions.read(self.out, TOTALS, number))

    def work(self, number: int, zones: gpd.GeoDataFrame) -> Reduced:
        """Work a partition and write its tables; the totals last, as a sign that all are there.

        Where a site could not be worked there are no totals on disk, so that it is tried again.

        Returns
        -------
        Reduced
        """
        done = self.done(number)
        if done is not None:
            return done
        part = apart(zones, self._features(number), self.terms)
        totals = totals_by(part.needs, part.hours, levels=[each for each in LEVELS if each != SITE])
        sound = bool((part.sites["trouble"] == "").all())
        tables = (part.zones, part.sites, part.needs, part.hours, *([totals] if sound else []))
        for name, rows in zip(TABLES, tables, strict=False):
            partitions.write(self.out, name, number, rows)
        return Reduced(number, totals)

    def _features(self, number: int) -> gpd.GeoDataFrame:
        """Return what else is mapped on the sites of a partition."""
        if partitions.path_of(self.source, partitions.FEATURES, number).exists():
            return partitions.read(self.source, partitions.FEATURES, number)
        columns = {each.name: pd.Series([], dtype=each.dtype) for each in schema.facts("features")}
        site = {"site_id": pd.Series([], dtype=object)}
        return gpd.GeoDataFrame(columns | site, geometry=[], crs="OGC:CRS84")
