"""A Parquet table with the metadata of GeoParquet, opened by pyarrow. Runs in the guarded child."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pyarrow as pa
from pyarrow import parquet

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.found import Layer
from lawnmap.readers import geo_metadata, handover
from lawnmap.readers.layers import choose


def layers(*, file: str, name: str, layer: str | None) -> list[tuple[str, int, tuple[str, ...]]]:
    """List the one layer: name, rows, kinds."""
    del layer
    with _opened(file) as table:
        only = _layer(table, name)
    return [(only.name, only.count, only.kinds)]


def features(*, file: str, name: str, layer: str | None) -> dict[str, Any]:
    """Return the rows, packed for handing over."""
    with _opened(file) as table:
        only = choose([_layer(table, name)], layer)
        geo = geo_metadata.geo(table)
        primary, column = geo_metadata.primary(geo)
        if only.count > SITE.zones:
            raise InputRefused(
                f"holds more than {SITE.zones:,} features",
                remedy="Cut the plan down to the site, or split it.",
            )
        _refuse_large(table)
        content = geo_metadata.told(table.read, use_threads=False)
    crs, remarks = geo_metadata.crs_of(column)
    remarks += geo_metadata.remarks(geo, column)
    shapes = _shapes(content, primary)
    rows, left_out = _rows(content, set(geo["columns"]), {primary} | geo_metadata.covering(column))
    return handover.pack(shapes, rows, crs=crs, warnings=[*remarks, *left_out])


def _opened(file: str) -> parquet.ParquetFile:
    return geo_metadata.told(
        parquet.ParquetFile, file, memory_map=False, page_checksum_verification=True
    )


def _layer(table: parquet.ParquetFile, name: str) -> Layer:
    _, column = geo_metadata.primary(geo_metadata.geo(table))
    kinds = column.get("geometry_types")
    plain = {str(kind).removesuffix(" Z") for kind in kinds} if isinstance(kinds, list) else set()
    return Layer(name, table.metadata.num_rows, tuple(sorted(plain)))


def _refuse_large(table: parquet.ParquetFile) -> None:
    groups = range(table.metadata.num_row_groups)
    if (
        sum(table.metadata.row_group(group).total_byte_size for group in groups)
        > SITE.archive_bytes
    ):
        raise InputRefused(
            f"unpacks to more than {SITE.archive_bytes / 1e6:.0f} MB",
            remedy="Cut the plan down to the site, or split it.",
        )


def _shapes(content: pa.Table, name: str) -> list[bytes | None]:
    if content.column_names.count(name) != 1:
        raise InputRefused(
            f"has no one column {name[:40]!r}", place=geo_metadata.PLACE, remedy=geo_metadata.REMEDY
        )
    column = content.column(name)
    if isinstance(column.type, pa.BaseExtensionType):
        column = column.cast(column.type.storage_type)
    if not (pa.types.is_binary(column.type) or pa.types.is_large_binary(column.type)):
        raise InputRefused(
            "the geometry column holds no WKB", place=geo_metadata.PLACE, remedy=geo_metadata.REMEDY
        )
    shapes: list[bytes | None] = column.to_pylist()
    return shapes


def _rows(
    content: pa.Table, geometry: set[str], unsaid: set[str]
) -> tuple[list[geo_metadata.Members], list[str]]:
    """Return attributes row by row, and which columns had to be left out.

    Those in `unsaid`, and the index of a data frame, are no attributes, and nobody misses them.
    """
    kept: dict[str, list[Any]] = {}
    remarks = []
    for name, column in zip(content.column_names, content.columns, strict=True):
        if name in unsaid or name.startswith("__index_level_"):
            continue
        if name in geometry:
            remarks.append(f'The further geometry column "{name}" was left out.')
        elif not _is_plain(column.type):
            remarks.append(f'The column "{name}" holds no text or numbers, and was left out.')
        elif name in kept:
            raise InputRefused(
                f"two columns are called {name[:40]!r}", remedy="Rename one of them."
            )
        else:
            kept[name] = geo_metadata.told(_values, column)
    rows = [dict(zip(kept, row, strict=True)) for row in zip(*kept.values(), strict=True)]
    return (rows if kept else [{} for _ in range(content.num_rows)]), remarks


def _is_plain(kind: pa.DataType) -> bool:
    """Tell whether a column holds single values that text, a number or true/false can carry."""
    types = pa.types
    if types.is_dictionary(kind):
        return _is_plain(kind.value_type)
    return any(
        holds(kind)
        for holds in (
            types.is_boolean,
            types.is_integer,
            types.is_floating,
            types.is_decimal,
            types.is_string,
            types.is_large_string,
            types.is_date,
            types.is_time,
            types.is_timestamp,
            types.is_null,
        )
    )


def _values(column: pa.ChunkedArray) -> list[Any]:
    """Return a column's values as JSON has them."""
    if pa.types.is_float32(column.type):
        # A single-precision 0.1 is 0.1, not 0.10000000149: its own shortest text says so.
        column = column.cast(pa.string()).cast(pa.float64())
    return [_plain(each) for each in column.to_pylist()]


def _plain(value: Any) -> Any:
    """Return dates as ISO 8601, decimals as numbers, what is not a number as None."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    number = float(value)
    return number if math.isfinite(number) else None
