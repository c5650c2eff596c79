"""A Parquet table with the metadata of GeoParquet, opened by pyarrow. Runs in the guarded child."""

from __future__ import annotations

import datetime as dt
import math
from typing import TYPE_CHECKING, Any

import pyarrow as pa
from pyarrow import parquet

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.files.limits import SITE
from lawnmap.found import Layer
from lawnmap.readers import handover
from lawnmap.readers.authority import stated
from lawnmap.readers.crs import LONLAT
from lawnmap.readers.layers import choose

if TYPE_CHECKING:
    from collections.abc import Callable

PLACE = "geo metadata"
AGAIN = "Export the plan again, or save it in another format."
REMEDY = "Save it as GeoParquet 1.1 with WKB geometry."
Members = dict[str, Any]


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
        geo = _geo(table)
        primary, column = _primary(geo)
        if only.count > SITE.zones:
            raise InputRefused(
                f"holds more than {SITE.zones:,} features",
                remedy="Cut the plan down to the site, or split it.",
            )
        _refuse_large(table)
        content = _told(table.read, use_threads=False)
    crs, remarks = _system(column)
    if column.get("edges", "planar") != "planar":
        remarks.append(
            "Edges that the file says are arcs on the globe are taken as straight lines."
        )
    version = str(geo.get("version"))
    if not version.startswith("1."):
        remarks.append(f"The file is GeoParquet {version[:20]}; it was read as 1.1.")
    shapes = _shapes(content, primary)
    rows, left_out = _rows(content, set(geo["columns"]), {primary} | _covering(column))
    return handover.pack(shapes, rows, crs=crs, warnings=[*remarks, *left_out])


def _opened(file: str) -> parquet.ParquetFile:
    return _told(parquet.ParquetFile, file, memory_map=False, page_checksum_verification=True)


def _told(function: Callable[..., Any], *arguments: Any, **options: Any) -> Any:
    """Call pyarrow and put its refusals into our form."""
    try:
        return function(*arguments, **options)
    except MemoryError:
        raise
    except UnicodeDecodeError as error:
        raise InputRefused("holds text that is not in UTF-8", remedy=AGAIN) from error
    except OverflowError as error:
        raise InputRefused("holds a date that no calendar has", remedy=AGAIN) from error
    except (pa.ArrowException, OSError) as error:
        raise InputRefused(f"could not be read ({str(error)[:200]})", remedy=AGAIN) from error


def _geo(table: parquet.ParquetFile) -> Members:
    """Return the metadata under the key ``geo``."""
    text = (table.metadata.metadata or {}).get(b"geo")
    if text is None:
        raise InputRefused("is a Parquet table without the metadata of GeoParquet", remedy=REMEDY)
    try:
        geo = json_text.loads(text, name="")
    except InputRefused as error:
        error.place = ", ".join(part for part in (PLACE, error.place) if part)
        raise
    if not isinstance(geo, dict) or not isinstance(geo.get("columns"), dict):
        raise InputRefused("has no columns", place=PLACE, remedy=REMEDY)
    return geo


def _primary(geo: Members) -> tuple[str, Members]:
    """Return the name of the geometry column and what is said of it, its encoding checked."""
    name = geo.get("primary_column")
    column = geo["columns"].get(name) if isinstance(name, str) else None
    if not isinstance(name, str) or not isinstance(column, dict):
        raise InputRefused("names no geometry column", place=PLACE, remedy=REMEDY)
    encoding = column.get("encoding")
    if encoding != "WKB":
        raise InputRefused(
            f"the geometry is encoded as {str(encoding)[:40]!r}, and WKB is what is read",
            place=PLACE,
            remedy=REMEDY,
        )
    return name, column


def _layer(table: parquet.ParquetFile, name: str) -> Layer:
    _, column = _primary(_geo(table))
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


def _system(column: Members) -> tuple[str | None, list[str]]:
    """Return the CRS: longitude/latitude when none is given, unknown when it is null."""
    if "crs" not in column:
        return LONLAT, []
    crs = column["crs"]
    if crs is None:
        return None, []
    if not isinstance(crs, dict):
        return None, ["The CRS in the file is not PROJJSON, so it was not taken."]
    return stated(crs)


def _shapes(content: pa.Table, name: str) -> list[bytes | None]:
    if content.column_names.count(name) != 1:
        raise InputRefused(f"has no one column {name[:40]!r}", place=PLACE, remedy=REMEDY)
    column = content.column(name)
    if isinstance(column.type, pa.BaseExtensionType):
        column = column.cast(column.type.storage_type)
    if not (pa.types.is_binary(column.type) or pa.types.is_large_binary(column.type)):
        raise InputRefused("the geometry column holds no WKB", place=PLACE, remedy=REMEDY)
    shapes: list[bytes | None] = column.to_pylist()
    return shapes


def _covering(column: Members) -> set[str]:
    """Return the names of the columns that only repeat the bounds of each shape."""
    covering = column.get("covering")
    bounds = covering.get("bbox") if isinstance(covering, dict) else None
    paths = bounds.values() if isinstance(bounds, dict) else ()
    return {str(path[0]) for path in paths if isinstance(path, list) and path}


def _rows(
    content: pa.Table, geometry: set[str], unsaid: set[str]
) -> tuple[list[Members], list[str]]:
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
            kept[name] = _told(_values, column)
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
