"""A table on disk, whatever its kind: what it says of itself, the names in it, its rows."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple, Protocol

import numpy as np

from lawnmap.errors import InputRefused
from lawnmap.files import flow
from lawnmap.jobs.sites.door import names, shapes
from lawnmap.jobs.sites.door.arrow import pa
from lawnmap.jobs.sites.door.columns import Columns
from lawnmap.jobs.sites.door.content import ZONES, Content
from lawnmap.jobs.sites.door.names import Hashes, Ids
from lawnmap.jobs.sites.door.trouble import Trouble
from lawnmap.readers import ogr

INSIDE = "lawnmap.jobs.sites.door.inside"
DRIVERS = {"gpkg": "GPKG", "fgb": "FlatGeobuf"}
GEOMETRY = "geometry"
KINDS = {pa.string(), pa.float64(), pa.large_binary(), pa.null()}


class Look(NamedTuple):
    """What a table says of itself.

    Attributes
    ----------
    columns : Columns
    crs : str or None
        As authority and code, or WKT; None when it does not say.
    remarks : tuple of str
        Whole sentences.
    by_row : bool
        Whether no column names the zones, and so their places do.
    stated : int or None
        How many rows the file says it has; None when it does not.
    content : Content
        What the rows are.
    """

    columns: Columns
    crs: str | None
    remarks: tuple[str, ...]
    by_row: bool
    stated: int | None = None
    content: Content = ZONES


class Rows(NamedTuple):
    """Some rows, not yet checked: columns by our names (float64 or text), and shapes."""

    columns: Mapping[str, pa.Array]
    shapes: shapes.Shapes


class Source(Protocol):
    """A table on disk."""

    def keys(self) -> tuple[Look, Hashes]:
        """Read the names of zones and sites, all rows through; a hash of its site for each."""
        ...

    def stream(self) -> Iterator[pa.RecordBatch]:
        """Read the rows, raw."""
        ...

    def parsed(self, raw: pa.Table, look: Look, trouble: Trouble) -> Rows:
        """Return raw rows as columns and shapes, having told of those that are neither."""
        ...


@dataclass(frozen=True)
class Guarded:
    """A binary table: GDAL and pyarrow open it in the guarded child, and pour it out as Arrow."""

    path: Path
    kind: str
    layer: str | None
    rename: Mapping[str, str]
    content: Content

    def keys(self) -> tuple[Look, Hashes]:
        """Read the names of zones and sites, all rows through; a hash of its site for each."""
        stream = self._poured("keys")
        told = json.loads((next(stream).schema.metadata or {})[b"look"])
        look = Look(
            Columns(dict(told["used"]), tuple(told["unknown"])),
            told["crs"],
            tuple(told["remarks"]),
            bool(told["by_row"]),
            told["stated"],
            self.content,
        )
        return look, hashes_of(map(_by_name, stream), look)

    def stream(self) -> Iterator[pa.RecordBatch]:
        """Read the rows, raw."""
        stream = self._poured("rows")
        next(stream)
        return stream

    def _poured(self, question: str) -> Iterator[pa.RecordBatch]:
        """Yield an empty batch for the schema, and then every batch, each checked in full."""
        with flow.poured(
            f"{INSIDE}:{question}",
            self.path,
            f"table.{self.kind}",
            {
                "kind": self.kind,
                "layer": self.layer,
                "rename": dict(self.rename),
                "holds": self.content.table,
            },
            environment={
                "ARROW_DEFAULT_MEMORY_POOL": "system",
                "ARROW_IO_THREADS": "1",
                "OGR_GPKG_NUM_THREADS": "1",
                **(ogr.environment(DRIVERS[self.kind]) if self.kind in DRIVERS else {}),
            },
        ) as output:
            try:
                with pa.ipc.open_stream(output) as reader:
                    _check_kinds(reader.schema)
                    yield pa.RecordBatch.from_pylist([], reader.schema)
                    for batch in reader:
                        batch.validate(full=True)
                        yield batch
            except (pa.ArrowException, OSError) as error:
                raise InputRefused(
                    f"could not be read ({str(error)[:200]})", remedy="Export the table again."
                ) from error

    def parsed(self, raw: pa.Table, look: Look, trouble: Trouble) -> Rows:
        """Return raw rows as columns and shapes, having told of those that are neither."""
        del look
        whole = {name: _one(raw.column(name)) for name in raw.column_names}
        return Rows(whole, shapes.decoded(whole.pop(GEOMETRY), trouble))


def _check_kinds(poured: pa.Schema) -> None:
    """Check that a child poured nothing but what it should: whatever it read wrote it."""
    if set(poured.types) - KINDS:
        raise InputRefused("could not be read (an answer out of form)", remedy="Export it again.")


def ids_of(columns: Mapping[str, pa.Array], rows: names.Places, look: Look) -> Ids:
    """Return the names in some rows."""
    zone = columns.get("zone_id") if look.content.named else None
    return names.ids(zone, columns.get("site_id"), rows, by_row=look.by_row)


def hashes_of(batches: Iterable[Mapping[str, pa.Array]], look: Look) -> Hashes:
    """Return a hash of its site for each row of some batches, columns by our names."""
    found = [np.zeros(0, dtype=np.uint64)]
    before = 0
    for columns in batches:
        many = len(next(iter(columns.values())))
        found.append(ids_of(columns, names.places(before, many), look).hashes())
        before += many
    return np.concatenate(found)


def _by_name(batch: pa.RecordBatch) -> dict[str, pa.Array]:
    return dict(zip(batch.schema.names, batch.columns, strict=True))


def _one(column: pa.ChunkedArray) -> pa.Array:
    whole = column.combine_chunks()
    return pa.concat_arrays(whole.chunks) if isinstance(whole, pa.ChunkedArray) else whole
