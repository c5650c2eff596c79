"""Line-delimited GeoJSON: one feature a line, or a text sequence (RFC 8142), read as it comes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from lawnmap.errors import InputRefused
from lawnmap.files.limits import BULK
from lawnmap.jobs.sites.door import features
from lawnmap.jobs.sites.door.arrow import pa, pc
from lawnmap.jobs.sites.door.columns import Columns, matched
from lawnmap.jobs.sites.door.content import Content
from lawnmap.jobs.sites.door.names import Hashes
from lawnmap.jobs.sites.door.source import Look, Rows, hashes_of
from lawnmap.jobs.sites.door.trouble import Trouble

RECORD = b"\x1e"
BOM = b"\xef\xbb\xbf"
ROWS = 8_192  # at a time
READ = 4_194_304
LONGEST = 400 * BULK.vertices  # bytes of a feature
AT_ONCE = 16_000_000  # bytes that are parsed together: as objects they are ten times as much
COLLECTION = re.compile(rb'\s*\{[^{}\[]*"type"\s*:\s*"FeatureCollection"')
HEAD_LINES = 3  # among which the opening of such a text stands
TEXT = "text"
RAW = pa.schema([(TEXT, pa.large_binary())])


@dataclass(frozen=True)
class Lines:
    """A file of lines. It is read twice, the first time for the names alone."""

    path: Path
    rename: Mapping[str, str]
    content: Content

    def keys(self) -> tuple[Look, Hashes]:
        """Read the names of zones and sites, all rows through; a hash of its site for each.

        No line says which columns others have. Where a later one brings a better name for zones or
        sites than the first ones have, all are read once more.
        """
        columns = self._guess()
        while True:
            by_row = self.content.named and "zone_id" not in columns.used
            look = Look(columns, None, (), by_row, content=self.content)
            there: dict[str, None] = {}
            hashes = hashes_of(self._names(look, there), look)
            found = matched(there, self.rename, self.content)
            if all(found.used.get(own) == columns.used.get(own) for own in self.content.keys):
                return look._replace(columns=found), hashes
            columns = found

    def _guess(self) -> Columns:
        """Return the columns of the first rows."""
        first = next(self.stream(), None)
        if first is None:
            raise InputRefused("holds no features", remedy="Check that it was saved whole.")
        texts = first.column(0).to_pylist()
        if any(COLLECTION.match(each or b"") for each in texts[:HEAD_LINES]):
            raise InputRefused(
                "is one GeoJSON text of many features, which cannot be read in batches",
                remedy="Save it as GeoParquet, GeoPackage or FlatGeobuf, or with a feature a line.",
            )
        found = features.parsed(texts, Trouble(len(texts)))
        if not any(found):
            raise self._refusal(texts[0])
        names = (name for each in found if each for name in each["properties"])
        there = dict.fromkeys([*names, *self.rename.values()])
        return matched(there, self.rename, self.content)

    def _names(self, look: Look, there: dict[str, None]) -> Iterator[dict[str, pa.Array]]:
        """Yield the columns that name zones and sites, and collect the names of all columns."""
        known = look.columns.used
        used = {own: known[own] for own in self.content.keys if own in known}
        for batch in self.stream():
            trouble = Trouble(len(batch))
            with features.unswept():
                found = features.parsed(batch.column(0).to_pylist(), trouble)
                for each in found:
                    there.update(dict.fromkeys(each["properties"] if each else ()))
                rows = features.properties(found, used)
                del found
            yield {**features.columns(rows, used, trouble), TEXT: batch.column(0)}

    def _refusal(self, text: bytes | None) -> InputRefused:
        start = (text or b"")[:200]
        if b"FeatureCollection" in start or start.strip() in {b"{", b"["}:
            return InputRefused(
                "is one GeoJSON text, which cannot be read in batches",
                remedy="Save it as GeoParquet, or as GeoJSON with one feature a line (.geojsonl).",
            )
        return InputRefused(
            "holds no GeoJSON features, one a line", remedy="Export the table again."
        )

    def stream(self) -> Iterator[pa.RecordBatch]:
        """Read the rows, raw: a text each, and none for one that is too long.

        Raises
        ------
        InputRefused
            When the file cannot be read, or is not as it was looked at.
        """
        held: list[bytes | None] = []
        size = 0
        try:
            with self.path.open("rb") as stream:
                for text in texts(stream):
                    held.append(text)
                    size += len(text or b"")
                    if len(held) == ROWS or size > AT_ONCE:
                        yield _batch(held)
                        held, size = [], 0
        except OSError as error:
            raise InputRefused(
                f"cannot be read ({error.strerror})", remedy="Copy it to another disk."
            ) from error
        if held:
            yield _batch(held)

    def parsed(self, raw: pa.Table, look: Look, trouble: Trouble) -> Rows:
        """Return raw rows as columns and shapes, having told of those that are neither."""
        texts = raw.column(TEXT)
        wanted = look.columns.used
        properties: list[dict[str, Any]] = []
        shapes = [np.zeros(0, dtype=object)]
        for start, stop in _slices(texts):
            with features.unswept():
                some = texts.slice(start, stop - start).to_pylist()
                found = features.parsed(some, trouble, first=start)
                shapes.append(features.shapes(found, trouble, first=start))
                properties += features.properties(found, wanted)
                del some, found
        return Rows(features.columns(properties, wanted, trouble), np.concatenate(shapes))


def _slices(texts: pa.ChunkedArray) -> list[tuple[int, int]]:
    """Return where to cut texts so that each cut holds no more than is parsed together."""
    ends = np.cumsum(pc.fill_null(pc.binary_length(texts), 0).to_numpy())
    cuts = np.flatnonzero(np.diff(ends // AT_ONCE, prepend=0)) + 1
    return list(pairwise(np.unique([0, *cuts, len(texts)]).tolist()))


def texts(stream: BinaryIO) -> Iterator[bytes | None]:
    """Yield the texts of a sequence without blanks round them; None for one that is too long."""
    start = stream.read(READ).removeprefix(BOM)
    mark = RECORD if start.lstrip().startswith(RECORD) else b"\n"
    held: list[bytes] = []
    size, dropping, block = 0, False, start
    while block:
        *whole, rest = block.split(mark)
        if whole:
            first = b"".join([*held, whole[0]])
            yield from _worded(None if dropping or len(first) > LONGEST else first)
            for each in whole[1:]:
                yield from _worded(each)
            held, size, dropping = [], 0, False
        held.append(rest)
        size += len(rest)
        if size > LONGEST:
            held, dropping = [], True
        block = stream.read(READ)
    yield from _worded(None if dropping else b"".join(held))


def _worded(text: bytes | None) -> Iterator[bytes | None]:
    """Yield a text unless it is blank."""
    stripped = None if text is None else text.strip()
    if stripped != b"":
        yield stripped


def _batch(held: list[Any]) -> pa.RecordBatch:
    return pa.record_batch([pa.array(held, pa.large_binary())], schema=RAW)
