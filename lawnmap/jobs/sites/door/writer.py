"""Tables of many sites written: GeoParquet in parts, or GeoJSON with one feature a line.

Every part of one run has the same columns of the same kinds, whatever is missing in it, so that
parts can be read as one table. Each is written whole or not at all.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import geopandas as gpd
import numpy as np
import pandas as pd
import pyproj
import shapely

from lawnmap.files.commit import commit
from lawnmap.jobs.sites.door import feature_text
from lawnmap.jobs.sites.door.arrow import pa, parquet
from lawnmap.model import LONLAT

GEOMETRY = "geometry"
BOUNDS = "bbox"
EDGES = ("xmin", "ymin", "xmax", "ymax")
COMPRESSION = "zstd"
LINES = 10_000  # at a time


def write_parquet(
    path: Path, table: pd.DataFrame, *, bounds: bool = False, force: bool = True
) -> tuple[str, ...]:
    """Write a table as Parquet; with shapes as GeoParquet 1.1 in OGC:CRS84.

    Parameters
    ----------
    path : Path
        In a folder that is there.
    table : DataFrame or GeoDataFrame
        Shapes in longitude/latitude. The index is not written; columns of objects are written as
        text, also where nothing is in them.
    bounds : bool
        Whether to add the covering of each shape, by which readers find those in a window.
    force : bool
        Whether a file that is there may be replaced.

    Returns
    -------
    tuple of str
        Warnings of the disk.

    Raises
    ------
    WriteFailed, Busy, UsageProblem
        As :func:`lawnmap.files.commit.commit` does.
    """
    return commit(path, parquet_bytes(table, bounds=bounds), force=force)


def parquet_bytes(table: pd.DataFrame, *, bounds: bool = False) -> bytes:
    """Return a table as :func:`write_parquet` writes it."""
    columns = {
        str(name): _column(table[name]) for name in table.columns if name != _shapes_of(table)
    }
    metadata = {}
    if isinstance(table, gpd.GeoDataFrame):
        shapes = table.geometry.to_numpy()
        if bounds:
            columns[BOUNDS] = _bounds(shapes)
        columns[GEOMETRY] = pa.array(shapely.to_wkb(shapes, flavor="iso"), pa.binary())
        metadata = {b"geo": json.dumps(_geo(shapes, covered=bounds)).encode("ascii")}
    arrow = pa.table(columns, metadata=metadata)
    sink = pa.BufferOutputStream()
    parquet.write_table(arrow, sink, compression=COMPRESSION)
    return bytes(sink.getvalue().to_pybytes())


def write_lines(path: Path, table: gpd.GeoDataFrame, *, force: bool = True) -> tuple[str, ...]:
    """Write a table as GeoJSON with one feature a line, as RFC 7946 has features.

    Coordinates are written in full: the shortest text that reads back to the same number. Columns
    in which nothing is are left out.

    Parameters
    ----------
    path : Path
        In a folder that is there.
    table : GeoDataFrame
        Shapes in longitude/latitude.
    force : bool
        Whether a file that is there may be replaced.

    Returns
    -------
    tuple of str
        Warnings of the disk.

    Raises
    ------
    WriteFailed, Busy, UsageProblem
        As :func:`lawnmap.files.commit.commit` does.
    """
    return commit(path, b"".join(_lines(table)), force=force)


def _lines(table: gpd.GeoDataFrame) -> Iterator[bytes]:
    shapes = table.geometry.to_numpy()
    plain = pd.DataFrame(table.drop(columns=table.geometry.name))
    plain = plain.loc[:, plain.notna().any()]
    for start in range(0, len(table), LINES):
        some = slice(start, start + LINES)
        yield feature_text.lines(shapes[some], plain.iloc[some])


def _shapes_of(table: pd.DataFrame) -> Any:
    return table.geometry.name if isinstance(table, gpd.GeoDataFrame) else None


def _column(values: pd.Series[Any]) -> pa.Array:
    """Return a column as Arrow has it; objects and categories are text."""
    texts = pd.CategoricalDtype, pd.StringDtype
    if values.dtype != object and not isinstance(values.dtype, texts):
        return pa.array(values, from_pandas=True)
    plain = values.to_numpy(dtype=object)
    try:
        return pa.array(plain, pa.string(), from_pandas=True)
    except pa.ArrowException:
        return pa.array([None if pd.isna(each) else str(each) for each in plain], pa.string())


def _bounds(shapes: Any) -> pa.StructArray:
    """Return the covering of each shape, none for a shape that is empty."""
    bounds = shapely.bounds(shapes)
    columns = [pa.array(column) for column in bounds.T.copy()]
    none = pa.array(np.isnan(bounds).any(axis=1))
    return pa.StructArray.from_arrays(columns, names=list(EDGES), mask=none)


def _geo(shapes: Any, *, covered: bool) -> dict[str, Any]:
    """Return the metadata of GeoParquet 1.1."""
    kinds = np.unique(shapely.get_type_id(shapes[~shapely.is_missing(shapes)]))
    column: dict[str, Any] = {
        "encoding": "WKB",
        "geometry_types": [_kind(shapely.GeometryType(kind)) for kind in kinds],
        "crs": _lonlat(),
    }
    if len(kinds):
        column["bbox"] = [float(edge) for edge in shapely.total_bounds(shapes)]
    if covered:
        column["covering"] = {BOUNDS: {edge: [BOUNDS, edge] for edge in EDGES}}
    return {"version": "1.1.0", "primary_column": GEOMETRY, "columns": {GEOMETRY: column}}


def _kind(kind: shapely.GeometryType) -> str:
    """Return a kind as GeoJSON spells it."""
    words = {"LINESTRING": "LineString", "GEOMETRYCOLLECTION": "GeometryCollection"}
    name = words.get(kind.name.removeprefix("MULTI"), kind.name.removeprefix("MULTI").capitalize())
    return f"Multi{name}" if kind.name.startswith("MULTI") else name


@cache
def _lonlat() -> dict[str, Any]:
    return dict(pyproj.CRS(LONLAT).to_json_dict())
