"""What a Parquet file says of its geometry: the metadata of GeoParquet 1.1 (OGC), checked.

Runs in the guarded child.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pyarrow as pa

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.readers.authority import stated
from lawnmap.readers.crs import LONLAT

if TYPE_CHECKING:
    from collections.abc import Callable

    from pyarrow import parquet

PLACE = "geo metadata"
AGAIN = "Export the plan again, or save it in another format."
REMEDY = "Save it as GeoParquet 1.1 with WKB geometry."
Members = dict[str, Any]


def told(function: Callable[..., Any], *arguments: Any, **options: Any) -> Any:
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


def geo(table: parquet.ParquetFile) -> Members:
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


def primary(geo: Members) -> tuple[str, Members]:
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


def crs_of(column: Members) -> tuple[str | None, list[str]]:
    """Return the CRS: longitude/latitude when none is given, unknown when it is null."""
    if "crs" not in column:
        return LONLAT, []
    crs = column["crs"]
    if crs is None:
        return None, []
    if not isinstance(crs, dict):
        return None, ["The CRS in the file is not PROJJSON, so it was not taken."]
    return stated(crs)


def covering(column: Members) -> set[str]:
    """Return the names of the columns that only repeat the bounds of each shape."""
    covering = column.get("covering")
    bounds = covering.get("bbox") if isinstance(covering, dict) else None
    paths = bounds.values() if isinstance(bounds, dict) else ()
    return {str(path[0]) for path in paths if isinstance(path, list) and path}


def remarks(geo: Members, column: Members) -> list[str]:
    """Return what a person should know of how the file says its geometry, in whole sentences."""
    found = []
    if column.get("edges", "planar") != "planar":
        found.append("Edges that the file says are arcs on the globe are taken as straight lines.")
    version = str(geo.get("version"))
    if not version.startswith("1."):
        found.append(f"The file is GeoParquet {version[:20]}; it was read as 1.1.")
    return found
