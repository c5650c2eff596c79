"""Rows written as GeoJSON features, one a line, many at a time."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely
from shapely.geometry import mapping

from lawnmap.files import json_text
from lawnmap.jobs.sites.door.features import unswept

Shapes = npt.NDArray[np.object_]

OUTLINES = (shapely.GeometryType.POLYGON, shapely.GeometryType.MULTIPOLYGON)


def lines(shapes: Shapes, table: pd.DataFrame) -> bytes:
    """Return rows as text, each with a line break behind it.

    Parameters
    ----------
    shapes : (n,) array
        In longitude/latitude; None where there is none.
    table : DataFrame
        Their attributes.
    """
    with unswept():
        return _lines(shapes, table)


def _lines(shapes: Shapes, table: pd.DataFrame) -> bytes:
    names = [str(name) for name in table.columns]
    columns = [_values(table.iloc[:, place]) for place in range(len(names))]
    rows = zip(*columns, strict=True) if columns else iter([()] * len(shapes))
    texts = [
        _dumps(
            {
                "type": "Feature",
                "properties": dict(zip(names, row, strict=True)),
                "geometry": geometry,
            }
        )
        for row, geometry in zip(rows, _geometries(shapes), strict=True)
    ]
    return b"\n".join([*texts, b""])


def _by_the_library(value: Any) -> bytes:
    return json_text.dumps(value).encode("utf-8")


def _writer() -> Callable[[Any], bytes]:
    if find_spec("orjson") is None:
        return _by_the_library
    dumps: Callable[[Any], bytes] = import_module("orjson").dumps
    return dumps


_dumps = _writer()


def _values(column: pd.Series[Any]) -> list[Any]:
    """Return values as JSON has them, None where there is none."""
    values = column.to_numpy()
    missing = pd.isna(values)
    if missing.any():
        values = values.astype(object)
        values[missing] = None
    return list(values.tolist())


def _geometries(shapes: Shapes) -> list[dict[str, Any] | None]:
    """Return shapes as GeoJSON, outer rings anticlockwise."""
    result: list[dict[str, Any] | None] = [None] * len(shapes)
    outlines = np.isin(shapely.get_type_id(shapes), OUTLINES) & ~shapely.is_empty(shapes)
    for row in np.flatnonzero(~outlines & ~shapely.is_missing(shapes)):
        result[row] = dict(mapping(shapes[row]))
    places = np.flatnonzero(outlines)
    if not len(places):
        return result
    turned = shapely.orient_polygons(shapes[places], exterior_cw=False)
    single = shapely.get_type_id(turned) == shapely.GeometryType.POLYGON
    for row, one, parts in zip(places, single, _nested(turned), strict=True):
        result[row] = (
            {"type": "Polygon", "coordinates": parts[0]}
            if one
            else {"type": "MultiPolygon", "coordinates": parts}
        )
    return result


def _nested(shapes: Shapes) -> list[list[Any]]:
    """Return the coordinates of each outline as nested lists: part, ring, position."""
    # One of two parts makes GEOS hand over all as such.
    both = np.array([*shapes, shapely.MultiPolygon([shapely.box(0, 0, 1, 1)])], dtype=object)
    _, xy, (of_ring, of_part, of_shape) = shapely.to_ragged_array(both, include_z=False)
    positions = xy.tolist()
    nested: list[Any] = positions
    for offsets in (of_ring, of_part, of_shape):
        nested = [nested[start:end] for start, end in pairwise(offsets.tolist())]
    return nested[:-1]
