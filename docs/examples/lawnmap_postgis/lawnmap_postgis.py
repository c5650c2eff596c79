"""Tables of a PostGIS database for ``lawnmap sites``: zones out of them, plans into them.

Names of tables and columns are data: they go into SQL quoted by psycopg, and none is ever parsed.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import geopandas as gpd
import pandas as pd
import psycopg
import pyarrow as pa
import shapely
from psycopg.sql import SQL, Composable, Identifier, Literal

from lawnmap.errors import InputRefused, LayerNeeded, WriteFailed
from lawnmap.jobs.sites.door import shapes
from lawnmap.jobs.sites.door.columns import Columns, matched
from lawnmap.jobs.sites.door.names import Hashes
from lawnmap.jobs.sites.door.plain import FIGURES, refuse_kind
from lawnmap.jobs.sites.door.source import Look, Rows, hashes_of
from lawnmap.jobs.sites.door.trouble import Trouble

Connection = psycopg.Connection[Any]

TITLE = "PostGIS"

GEOMETRY, SITE, ZONE = "geometry", "site_id", "zone_id"
ROWS = 8_192  # at a time
WAIT_S = 10  # for a server that may not be there
SCHEMA = "lawnmap"  # that results are kept in
OURS = "Made by lawnmap: each run replaces the rows."
LONLAT = 4326
# Categories of PostgreSQL's types that are not read as text, as Arrow calls them.
KINDS = {"B": pa.bool_(), "D": pa.date32(), "N": pa.float64()}
NUMBERS = {"float64": "double precision", "bool": "boolean", "int64": "bigint"}

LAYERS = """
    SELECT f_table_schema, f_table_name, f_geometry_column, auth_name || ':' || auth_srid
    FROM geometry_columns LEFT JOIN spatial_ref_sys USING (srid) ORDER BY 1, 2, 3"""
FIELDS = """
    SELECT attname, typcategory FROM pg_attribute JOIN pg_type ON pg_type.oid = atttypid
    WHERE attrelid = to_regclass(quote_ident(%s) || '.' || quote_ident(%s))
    AND attnum > 0 AND NOT attisdropped ORDER BY attnum"""
COMMENT = """
    SELECT obj_description(oid, 'pg_class')
    FROM to_regclass(quote_ident(%s) || '.' || quote_ident(%s)) AS oid WHERE oid IS NOT NULL"""
MAKE = (
    "CREATE TABLE {table} ({key_columns}, PRIMARY KEY ({keys}))",
    "COMMENT ON TABLE {table} IS {ours}",
)
MORE = "ALTER TABLE {table} {more}"
STAGE = "CREATE TEMP TABLE {stage} ON COMMIT DROP AS SELECT {keys}, {values} FROM {table} LIMIT 0"
UPSERT = """
    INSERT INTO {table} AS own ({keys}, {values}) SELECT {keys}, {values} FROM {stage}
    ON CONFLICT ({keys}) DO UPDATE SET ({values}) = ROW ({new})
    WHERE ROW ({old}) IS DISTINCT FROM ROW ({new})"""
LEFT_OVER = """
    DELETE FROM {table}
    WHERE ({keys}) IN (SELECT {keys} FROM {table} EXCEPT SELECT {keys} FROM {stage})"""


def source(address: str, *, layer: str | None, rename: Mapping[str, str]) -> Zones:
    """Return a table or view of zones."""
    return Zones(address, layer, rename)


def write(address: str, tables: Mapping[str, Iterable[pd.DataFrame]], *, layer: str | None) -> None:
    """Put tables into a schema of the database, all of them or none, in one transaction."""
    schema = layer or SCHEMA
    with _connected(address, WriteFailed) as connection:
        # Two runs must not meet in one schema: the second waits for the first.
        connection.execute("SELECT pg_advisory_xact_lock(hashtext(%s))", [schema])
        if connection.execute("SELECT FROM pg_namespace WHERE nspname = %s", [schema]).rowcount < 1:
            connection.execute(SQL("CREATE SCHEMA {}").format(Identifier(schema)))
        for name, frames in tables.items():
            _put(connection, schema, name, frames)


@contextlib.contextmanager
def _connected(address: str, refusal: type[InputRefused | WriteFailed]) -> Iterator[Connection]:
    """Open a transaction, undone by any failure; a failure of the database is told by `refusal`."""
    try:
        with psycopg.connect(address, connect_timeout=WAIT_S) as connection:
            connection.execute("SET datestyle TO ISO")
            yield connection
    except psycopg.Error as error:
        # What a server says is told; what the library says may hold the address, password and all.
        said = f"says: {error.diag.message_primary}" if error.diag.sqlstate else "cannot be reached"
        raise refusal(
            f"the database {said}",
            done="Nothing was changed there.",
            remedy="Check the address, the password, the rights of the user, and PostGIS.",
        ) from None


# Zones out of a table ----------------------------------------------------------------------------


class Layer(NamedTuple):
    """A table or view with shapes; for each of its columns the category of its type."""

    name: Identifier
    geometry: str
    crs: str | None
    fields: dict[str, str]


@dataclass(frozen=True)
class Zones:
    """A table or view of zones: a Source of the bulk door."""

    address: str = field(repr=False)
    layer: str | None
    rename: Mapping[str, str]

    def keys(self) -> tuple[Look, Hashes]:
        """Read the names of zones and sites, all rows through; a hash of its site for each."""
        with _connected(self.address, InputRefused) as connection:
            layer = _layer(connection, self.layer)
            columns = self._columns(layer)
            for own, theirs in columns.used.items():
                refuse_kind(own, KINDS.get(layer.fields[theirs], pa.string()))
            look = Look(columns, layer.crs, (), by_row=False)
            names = [own for own in (SITE, ZONE) if own in columns.used]
            batches = _batches(connection, layer, columns.used, names)
            return look, hashes_of((_by_name(batch) for batch in batches), look)

    def stream(self) -> Iterator[pa.RecordBatch]:
        """Read the rows, raw."""
        with _connected(self.address, InputRefused) as connection:
            layer = _layer(connection, self.layer)
            used = self._columns(layer).used
            yield from _batches(connection, layer, used, [*used, GEOMETRY])

    def parsed(self, raw: pa.Table, look: Look, trouble: Trouble) -> Rows:
        """Return raw rows as columns and shapes, having told of those that are neither."""
        del look
        columns = {name: raw.column(name).combine_chunks() for name in raw.column_names}
        return Rows(columns, shapes.decoded(columns.pop(GEOMETRY), trouble))

    def _columns(self, layer: Layer) -> Columns:
        columns = matched([each for each in layer.fields if each != layer.geometry], self.rename)
        if ZONE not in columns.used:
            raise InputRefused(
                "no column names the zones, and rows of a database have no place of their own",
                remedy="Say which column does: --rename zone_id=COLUMN.",
            )
        return columns


def _layer(connection: Connection, wanted: str | None) -> Layer:
    """Return the only table with shapes, or the one called `wanted`, with its schema or without."""
    found = connection.execute(LAYERS).fetchall()
    named = [(f"{schema}.{table}", table) for schema, table, *_ in found]
    fitting = [place for place, names in enumerate(named) if wanted is None or wanted in names]
    if len(fitting) != 1:
        shown = [named[place][0] for place in fitting or range(len(found))]
        raise (LayerNeeded if fitting else InputRefused)(
            f"holds {'several tables' if fitting else 'no such table'} with shapes",
            remedy=f"Choose one with --layer: {', '.join(shown)[:300] or 'there is none'}.",
        )
    schema, table, geometry, crs = found[fitting[0]]
    fields = dict(connection.execute(FIELDS, [schema, table]).fetchall())
    return Layer(Identifier(schema, table), geometry, crs, fields)


def _batches(
    connection: Connection, layer: Layer, used: Mapping[str, str], names: list[str]
) -> Iterator[pa.RecordBatch]:
    """Yield columns under our names, site by site, from a cursor that stays on the server."""
    kinds, values = zip(*(_column(own, used, layer) for own in names), strict=True)
    order = [
        SQL('{}::text COLLATE "C"').format(Identifier(used[own]))
        for own in (SITE, ZONE)
        if own in used
    ]
    query = SQL("SELECT {} FROM {} ORDER BY {}").format(_list(values), layer.name, _list(order))
    with connection.cursor(name="zones", binary=True) as cursor:
        cursor.execute(query)
        while rows := cursor.fetchmany(ROWS):
            columns = zip(zip(*rows, strict=True), kinds, strict=True)
            yield pa.record_batch([pa.array(each, kind) for each, kind in columns], names=names)


def _column(own: str, used: Mapping[str, str], layer: Layer) -> tuple[pa.DataType, Composable]:
    """Return how a column is kept, and how it is selected."""
    if own == GEOMETRY:  # with the CRS of each shape, so that two in one column are noticed
        return pa.large_binary(), SQL("ST_AsEWKB({})").format(Identifier(layer.geometry))
    column = SQL("{}::text").format(Identifier(used[own]))
    if own in FIGURES and layer.fields[used[own]] == "N":  # a real 0.1 is 0.1, as its text says
        return pa.float64(), SQL("{}::float8").format(column)
    return pa.string(), column


def _by_name(batch: pa.RecordBatch) -> dict[str, pa.Array]:
    return dict(zip(batch.schema.names, batch.columns, strict=True))


def _list(parts: Iterable[Composable]) -> Composable:
    return SQL(", ").join(parts)


# Results into tables -----------------------------------------------------------------------------


def _put(connection: Connection, schema: str, name: str, frames: Iterable[pd.DataFrame]) -> None:
    """Let a table hold the rows of some frames and no others; what is the same is not touched."""
    words: dict[str, Composable] = {}
    for frame in frames:
        if not words:
            words = _made(connection, schema, name, frame)
        rows = frame.reset_index()
        copying = SQL("COPY {stage} ({keys}, {values}) FROM STDIN").format(**words)
        with connection.cursor().copy(copying) as copy:
            for row in zip(*(_plain(rows[each]) for each in rows), strict=True):
                copy.write_row(row)
    for statement in (UPSERT, LEFT_OVER):
        connection.execute(SQL(statement).format(**words))


def _made(
    connection: Connection, schema: str, name: str, frame: pd.DataFrame
) -> dict[str, Composable]:
    """Make a table and its stage, and columns that are new; return the words of its statements."""
    there = connection.execute(COMMENT, [schema, name]).fetchone()
    if there not in (None, (OURS,)):
        raise WriteFailed(
            f"has a table {schema[:60]}.{name[:60]} that lawnmap did not make",
            done="Nothing was changed there.",
            remedy="Choose another schema with --into-layer.",
        )
    rows, many = frame.reset_index(), frame.index.nlevels
    names = [Identifier(str(each)) for each in rows]
    kinds = [SQL(_kind(rows[each])) for each in rows]
    columns = [SQL("{} {}").format(*each) for each in zip(names, kinds, strict=True)]
    words = {
        "table": Identifier(schema, name),
        "stage": Identifier("pg_temp", name),
        "keys": _list(names[:many]),
        "values": _list(names[many:]),
        "old": _list(SQL("own.{}").format(each) for each in names[many:]),
        "new": _list(SQL("excluded.{}").format(each) for each in names[many:]),
        "key_columns": _list(columns[:many]),
        "more": _list(SQL("ADD COLUMN IF NOT EXISTS {}").format(each) for each in columns[many:]),
        "ours": Literal(OURS),
    }
    for statement in (*(() if there else MAKE), MORE, STAGE):
        connection.execute(SQL(statement).format(**words))
    return words


def _kind(column: pd.Series[Any]) -> str:
    """Return what PostgreSQL calls the kind of a column."""
    if isinstance(column.dtype, gpd.array.GeometryDtype):
        return f"geometry(Geometry, {LONLAT})"
    return NUMBERS.get(str(column.dtype), "text")


def _plain(column: pd.Series[Any]) -> list[Any]:
    """Return values as PostgreSQL takes them: shapes as WKB, text without NUL, None for nothing."""
    if isinstance(column.dtype, gpd.array.GeometryDtype):
        outlines = shapely.set_srid(column.to_numpy(), LONLAT)
        return list(shapely.to_wkb(outlines, hex=True, include_srid=True))
    values = column.astype(object)
    if _kind(column) == "text":
        values = values.str.replace("\0", "", regex=False)
    return list(values.where(values.notna(), None))
