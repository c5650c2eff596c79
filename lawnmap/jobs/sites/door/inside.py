"""What runs in the guarded child: a binary table opened, its rows poured out as Arrow.

What is poured has three kinds of column only: text, numbers as float64, and shapes as WKB.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
import sys
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, BinaryIO, NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.found import Layer
from lawnmap.jobs.sites.door.arrow import pa, parquet
from lawnmap.jobs.sites.door.columns import Columns, matched
from lawnmap.jobs.sites.door.content import OF_TABLE, Content
from lawnmap.jobs.sites.door.plain import refuse_kind, rewritten
from lawnmap.readers import geo_metadata
from lawnmap.readers.authority import stated
from lawnmap.readers.layers import choose

DRIVERS = {"gpkg": "GPKG", "fgb": "FlatGeobuf"}
ROWS = 8_192  # at a time
BUFFER = 1_048_576
GEOMETRY = "geometry"
ZONE = "zone_id"


class Opened(NamedTuple):
    """A table that is open: what it says of itself, and how its rows are had."""

    schema: pa.Schema
    geometry: str
    fid: str  # the column that numbers the rows for good; empty when there is none
    crs: str | None
    remarks: list[str]
    columns: Columns
    stated: int | None  # rows that there must be
    batches: Any  # called with names of columns; yields record batches


def keys(
    stream: BinaryIO,
    *,
    file: str,
    kind: str,
    layer: str | None,
    rename: Mapping[str, str],
    holds: str,
) -> None:
    """Pour the names of zones and sites; what the table says of itself goes before them.

    Parameters
    ----------
    stream : binary stream
        Arrow goes there.
    file, kind : str
        Name of the file within the child, and what its content is.
    layer : str or None
    rename : mapping of str to str
        From the columns of the schema to those of the file.
    holds : str
        ``zones`` or ``features``: a key of ``OF_TABLE``.
    """
    content = OF_TABLE[holds]
    with _opened(file, kind, layer, rename, content) as table:
        used = table.columns.used
        for own, theirs in used.items():
            refuse_kind(own, table.schema.field(theirs).type)
        look = {
            "used": used,
            "unknown": table.columns.unknown,
            "crs": table.crs,
            "remarks": table.remarks,
            "by_row": content.named and ZONE not in used and not table.fid,
            "stated": table.stated,
        }
        metadata = {b"look": json.dumps(look).encode("ascii")}
        _pour(stream, table, [name for name in content.keys if name in used], metadata)


def rows(
    stream: BinaryIO,
    *,
    file: str,
    kind: str,
    layer: str | None,
    rename: Mapping[str, str],
    holds: str,
) -> None:
    """Pour every column that is used, and the shapes.

    Parameters
    ----------
    stream, file, kind, layer, rename, holds
        As :func:`keys` takes them.
    """
    with _opened(file, kind, layer, rename, OF_TABLE[holds]) as table:
        _pour(stream, table, [*table.columns.used, GEOMETRY], None)


def _pour(
    stream: BinaryIO, table: Opened, wanted: Sequence[str], metadata: dict[bytes, bytes] | None
) -> None:
    """Write columns under our names, each in its one kind."""
    theirs = {**table.columns.used, GEOMETRY: table.geometry}
    by_fid = ZONE not in theirs and bool(table.fid)
    names = [theirs[name] for name in wanted]
    fields = [
        (own, rewritten(own, pa.nulls(0, table.schema.field(name).type)).type)
        for own, name in zip(wanted, names, strict=True)
    ]
    fields += [(ZONE, pa.string())] if by_fid else []
    fields = fields or [("", pa.null())]  # their number is all there is to say
    schema = pa.schema(fields, metadata=metadata)
    with pa.ipc.new_stream(stream, schema) as writer:
        for batch in table.batches(names):
            columns = [
                rewritten(own, batch.column(batch.schema.get_field_index(name)))
                for own, name in zip(wanted, names, strict=True)
            ]
            columns += [batch.column(table.fid).cast(pa.string())] if by_fid else []
            columns = columns or [pa.nulls(batch.num_rows)]
            writer.write_batch(pa.record_batch(columns, schema=schema))


@contextlib.contextmanager
def _opened(
    file: str, kind: str, layer: str | None, rename: Mapping[str, str], content: Content
) -> Iterator[Opened]:
    if kind in DRIVERS:
        table = _by_gdal(file, kind, layer, rename, content)
        # Rows without names of their own need no number either.
        yield table if content.named else table._replace(fid="")
        return
    # Not mapped and not read ahead: a row group of 1 GB must not have to be in memory at once.
    table = geo_metadata.told(
        parquet.ParquetFile,
        file,
        memory_map=False,
        pre_buffer=False,
        buffer_size=BUFFER,
        page_checksum_verification=True,
    )
    with table:
        yield _of_parquet(table, layer, rename, content)


# GeoParquet --------------------------------------------------------------------------------------


def _of_parquet(
    table: parquet.ParquetFile, layer: str | None, rename: Mapping[str, str], content: Content
) -> Opened:
    if layer is not None:
        raise InputRefused("has no layers", remedy="Leave --layer out.")
    geo = geo_metadata.geo(table)
    primary, column = geo_metadata.primary(geo)
    schema = table.schema_arrow
    _refuse_doubles(schema.names)
    if primary not in schema.names:
        raise InputRefused(f"has no column {primary[:40]!r}", place=geo_metadata.PLACE)
    crs, remarks = geo_metadata.crs_of(column)
    unsaid = {primary} | geo_metadata.covering(column)
    names = [
        name
        for name in schema.names
        if name not in unsaid and not name.startswith("__index_level_")
    ]

    def batches(wanted: list[str]) -> Iterator[pa.RecordBatch]:
        chunks = table.iter_batches(batch_size=ROWS, columns=wanted, use_threads=False)
        return _each(chunks)

    remarks += geo_metadata.remarks(geo, column)
    rows = table.metadata.num_rows
    columns = matched(names, rename, content)
    return Opened(schema, primary, "", crs, remarks, columns, rows, batches)


def _refuse_doubles(names: Sequence[str]) -> None:
    for name in names:
        if names.count(name) > 1:
            raise InputRefused(
                f"two columns are called {name[:40]!r}", remedy="Rename one of them."
            )


# GDAL --------------------------------------------------------------------------------------------


def _by_gdal(
    file: str, kind: str, layer: str | None, rename: Mapping[str, str], content: Content
) -> Opened:
    for unused in ("geopandas", "pandas"):  # imported by pyogrio where it can: half a second
        sys.modules.setdefault(unused, None)  # type: ignore[arg-type]  # None: not there
    import pyogrio

    from lawnmap.readers import ogr

    ogr.make_sure(file, DRIVERS[kind])
    views = _views(file) if kind == "gpkg" else set()
    if layer is not None and layer.lower() in views:
        raise InputRefused(
            f"the layer {layer[:60]!r} is a view, not a table",
            remedy="Export it to a new GeoPackage, and give that.",
        )
    shown = [
        Layer(name, int(ogr.told(pyogrio.read_info, file, layer=name)["features"]), ())
        for name, shape in ogr.told(pyogrio.list_layers, file)
        if shape is not None and name.lower() not in views
    ]
    chosen = choose(shown, layer).name
    info = ogr.told(pyogrio.read_info, file, layer=chosen)
    names = [str(name) for name in info["fields"]]
    _refuse_doubles(names)
    crs, remarks = stated(info["crs"]) if info["crs"] else (None, [])
    options = {"layer": chosen, "return_fids": True, "use_pyarrow": True, "batch_size": ROWS}
    with _arrow(file, columns=None, **options) as reader:
        schema = reader.schema
    geometry = next(
        (name for name in (info["geometry_name"], "wkb_geometry") if name in schema.names), ""
    )

    def batches(wanted: list[str]) -> Iterator[pa.RecordBatch]:
        columns = [name for name in wanted if name in names]
        with _arrow(file, columns=columns, read_geometry=geometry in wanted, **options) as reader:
            yield from _each(reader)

    columns = matched(names, rename, content)
    if kind == "gpkg":
        fid, must = info["fid_column"], _counted(file, chosen)
        return Opened(schema, geometry, fid, crs, remarks, columns, must, batches)
    must_hold = int(info["features"]) or None  # 0 is "not known"
    return Opened(schema, geometry, "", crs, remarks, columns, must_hold, batches)


@contextlib.contextmanager
def _arrow(file: str, **options: Any) -> Iterator[pa.RecordBatchReader]:
    import pyogrio

    from lawnmap.readers import ogr

    opening = pyogrio.open_arrow(file, **options)
    _, reader = ogr.told(opening.__enter__)
    try:
        yield reader
    finally:
        opening.__exit__(None, None, None)


def _each(batches: Any) -> Iterator[pa.RecordBatch]:
    """Yield record batches, with the library's refusals in our form."""
    iterator = iter(batches)
    while (batch := geo_metadata.told(next, iterator, None)) is not None:
        yield batch


def _views(file: str) -> set[str]:
    """Return the names of layers that are worked out by SQL of the file's own: one may not end."""
    found = _asked(file, "SELECT lower(name) FROM sqlite_master WHERE type = 'view'")
    return {str(name) for (name,) in found}


def _counted(file: str, layer: str) -> int:
    """Return the rows of a table as SQLite counts them.

    GDAL stops without a word at a page that is damaged, and what a GeoPackage says of its own count
    may be out of date.
    """
    name = '"' + layer.replace('"', '""') + '"'
    return int(_asked(file, f"SELECT COUNT(*) FROM {name}")[0][0])  # noqa: S608  (quoted as SQL has it)


def _asked(file: str, sql: str) -> list[tuple[Any, ...]]:
    try:
        with contextlib.closing(sqlite3.connect(f"file:{file}?immutable=1", uri=True)) as base:
            return base.execute(sql).fetchall()
    except sqlite3.Error as error:
        raise InputRefused(
            f"could not be read ({str(error)[:200]})", remedy="Export the table again."
        ) from error
