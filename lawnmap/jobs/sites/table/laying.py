"""Zones of a table, and what else is mapped on their sites, laid out in partitions."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any

import geopandas as gpd
import pandas as pd
from shapely import Point

from lawnmap import schema
from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files.admit import is_address
from lawnmap.files.commit import write_failed
from lawnmap.jobs.sites.door import reader
from lawnmap.jobs.sites.door.content import FEATURES, ZONES, Content
from lawnmap.jobs.sites.door.trouble import Skipped
from lawnmap.jobs.sites.engine.features import lay_features
from lawnmap.jobs.sites.engine.layout import lay_out
from lawnmap.jobs.sites.grouping import UNKNOWN
from lawnmap.jobs.sites.table import marked, results
from lawnmap.model import LONLAT

MOST_SKIPPED = 10_000  # rows of a table that are listed; all are counted
NOTHING_MAPPED = (
    "Only zones are in a table: nothing is known of water, drains, gates or what lies hidden. The "
    "amounts are as if there were none; plan a site by itself before anything is applied there."
)
OPTION = re.compile(r"--(layer|rename|crs)\b")


@dataclass(frozen=True)
class Reading:
    """A table, and how it is read.

    Attributes
    ----------
    source : Path or str
        A file, or an address for which a plugin is installed.
    layer : str or None
        Of a file with several.
    rename : dict of str to str
        The file's name for a column of ours.
    crs : str or None
        Of a file that does not say.
    """

    source: Path | str
    layer: str | None = None
    rename: Mapping[str, str] | None = None
    crs: str | None = None

    def opened(self, content: Content) -> reader.Table:
        """Return the table, opened; what to do is told by the options of just this one."""
        try:
            return reader.opened(
                self.source, layer=self.layer, rename=self.rename, crs=self.crs, content=content
            )
        except LawnmapError as error:
            if content is FEATURES:
                error.remedy = OPTION.sub(r"--features-\1", error.remedy)
            raise

    def digest(self, most: int) -> str:
        """Return a digest of the table and how it is read; empty when nothing tells its age."""
        if is_address(str(self.source)):
            return ""
        renamed = [f"{key}={value}" for key, value in sorted((self.rename or {}).items())]
        facts = [column.name for column in schema.COLUMNS if not column.step]
        texts = [version("lawnmap"), *facts, str(most), self.layer or "", self.crs or "", *renamed]
        return marked.of_file(Path(self.source), texts)


class _Pouring:
    """The sound rows of a table in batches; what is left out is counted and, to a point, kept."""

    def __init__(self, reading: Reading, content: Content) -> None:
        self.content, self.table = content, reading.opened(content)
        self.skipped: list[Skipped] = []
        self.left_out = 0
        self.of_site: dict[str, int] = {}

    def batches(self, size: int, scratch: Path) -> Iterator[gpd.GeoDataFrame]:
        for batch in reader.batches(self.table, size, scratch=scratch):
            self.left_out += len(batch.skipped)
            room = MOST_SKIPPED - len(self.skipped)
            self.skipped.extend(batch.skipped[:room])
            for each in batch.skipped[room:]:
                self.of_site[each.site_id] = self.of_site.get(each.site_id, 0) + 1
            if len(batch.rows):
                yield batch.rows
            if batch.skipped and self.content is FEATURES:
                yield unknown(batch.skipped)[list(batch.rows.columns)]

    def told(self) -> list[str]:
        """Return what a person should know of the table."""
        told = list(self.table.remarks)
        if self.table.columns.unknown:
            told.append(f"Columns that were left out: {', '.join(self.table.columns.unknown)}.")
        if self.left_out:
            told.append(
                f"{self.left_out:,} of {self.table.count:,} {self.content.table} were left out; "
                f"{'the reasons' if not self.of_site else f'the first {MOST_SKIPPED:,} reasons'} "
                f"are in {results.SKIPPED}."
            )
        return told


def unknown(skipped: Sequence[Skipped]) -> gpd.GeoDataFrame:
    """Return features that could not be read, by their sites: any of them may be water.

    Raises
    ------
    InputRefused
        When one names no site, so that nobody can tell which lawns lie beside it.
    """
    nowhere = [each for each in skipped if not each.site_id]
    if nowhere:
        raise InputRefused(
            f"row {nowhere[0].row} is left out ({nowhere[0].reason}) and names no site, and it may "
            "be water",
            remedy="Give it its site_id, or take it out, and try again.",
        )
    places = range(len(skipped))
    data = {
        column.name: pd.Series(index=places, dtype=column.dtype)
        for column in schema.facts("features")
    }
    data |= {
        "site_id": pd.Series([each.site_id for each in skipped], dtype=object),
        "feature": pd.Series(UNKNOWN, index=places, dtype=object),
    }
    return gpd.GeoDataFrame(data, geometry=[Point()] * len(skipped), crs=LONLAT)


def laid_out(
    zones: Reading, features: Reading | None, room: marked.Room, *, most: int, afresh: bool
) -> dict[str, Any]:
    """Lay tables out in partitions, unless they are; return what is to be told of them.

    What lies at an address is read each time, since nothing tells whether it has changed; if it has
    not, what was worked out from it holds all the same.

    Parameters
    ----------
    zones : Reading
    features : Reading or None
        What else is mapped on the sites.
    room : Room
        Where the partitions go.
    most : int
        Zones in a partition.
    afresh : bool
        Whether they are laid out though they are there.

    Returns
    -------
    dict of str to Any
        ``digest`` of all that was read; ``skipped``, the rows that were left out, so many as are
        listed, and ``of_site`` the number of the others; ``told`` and ``cautions``, whole
        sentences, of which the second belong on every paper.
    """
    poured = _Pouring(zones, ZONES)
    beside = _Pouring(features, FEATURES) if features else None
    digests = [zones.digest(most), *([features.digest(most)] if features else [])]
    digest = marked.of_texts(digests) if all(digests) else ""
    known = room.told(digest) if digest and not afresh else None
    if known is not None:
        return known
    room.emptied()
    scratch = room.folder
    with _written(scratch):
        lay_out(poured.batches(most, scratch), room.folder, most=most, scratch=scratch)
    skipped, told = list(poured.skipped), poured.told()
    of_site = dict(poured.of_site)
    cautions = [NOTHING_MAPPED]
    if beside:
        with _written(scratch):
            mapped, lost = lay_features(beside.batches(most, scratch), room.folder, scratch=scratch)
        skipped += beside.skipped
        of_site |= {each: of_site.get(each, 0) + many for each, many in beside.of_site.items()}
        told += beside.told()
        cautions = list(_mapped(mapped, lost))
    digest = digest or marked.of_partitions(room.folder)
    note = {
        "digest": digest,
        "skipped": [list(each) for each in skipped],
        "of_site": of_site,
        "told": told,
        "cautions": cautions,
    }
    room.mark(digest, note)
    return note


@contextlib.contextmanager
def _written(folder: Path) -> Iterator[None]:
    """Tell a disk that does not take what lies there meanwhile as one that takes no partitions."""
    try:
        yield
    except LawnmapError:
        raise
    except OSError as error:
        raise write_failed(folder, error, done="The table was not laid out.") from error


def _mapped(mapped: Mapping[str, int], lost: int) -> Iterator[str]:
    """Yield what is known of the sites beside their zones, and what is not."""
    kinds = [kind for kind in schema.FEATURES if kind != ZONES.one]
    there = ", ".join(f"{kind} {mapped[kind]:,}" for kind in kinds if kind in mapped)
    yield f"Mapped beside the zones: {there or 'nothing'}."
    nowhere = ", ".join(kind for kind in kinds if kind not in mapped)
    yield (
        f"What is not mapped is not known{f' (nowhere: {nowhere})' if nowhere else ''}: the "
        "amounts of a site are as if it were not there. See to that before anything is applied."
    )
    if lost:
        yield (
            f"{lost:,} features are of sites without zones, and were left out: if one of them is "
            "misspelt, its site is planned as if it were not there."
        )
