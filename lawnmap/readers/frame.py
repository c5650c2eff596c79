"""A GeoDataFrame of somebody's own, checked as a site plan from a file is."""

from __future__ import annotations

import datetime as dt
import math
import numbers
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.found import Found
from lawnmap.readers import handover
from lawnmap.readers.authority import stated

NAME = "GeoDataFrame"  # stands for the file in messages
ZONE_ID = "zone_id"
SET_CRS = "set its own with set_crs(…, allow_override=True)."
PLACE = re.compile(r'feature (?P<number>\d+)(?P<name> "[^"]*")?')
EMPTY: Mapping[str, str] = {}


def found(
    table: gpd.GeoDataFrame,
    *,
    crs: str | None = None,
    rename: Mapping[str, str] = EMPTY,
    kind: str | None = None,
) -> Found:
    """Return the rows of a GeoDataFrame as features.

    Parameters
    ----------
    table : GeoDataFrame
        With an active geometry column. An index called ``zone_id`` is that column.
    crs : str, optional
        CRS of a table that names none, as text that pyproj takes.
    rename : mapping of str to str
        From the table's own names to those of ``docs/columns.md``.
    kind : str, optional
        What each row is, such as ``zone``; otherwise the column ``feature`` says so.

    Returns
    -------
    Found

    Raises
    ------
    InputRefused
        For a table without geometry, with two columns of one name or none of a renamed one, and
        for a row whose geometry cannot be read.
    """
    geometry = _geometry(table)
    plain = _named(pd.DataFrame(table.drop(columns=geometry.name)), rename)
    said, remarks = stated(geometry.crs.to_wkt()) if geometry.crs is not None else (None, [])
    rows = [_values(each, number, kind) for number, each in enumerate(plain.to_dict("records"), 1)]
    try:
        told = handover.pack(geometry.to_wkb(), rows, crs=said, warnings=remarks)
        # As if it came from a file: what is packed is plain JSON, and checked again.
        again = json_text.loads(json_text.dumps(told).encode(), name=NAME)
        features = handover.unpack(again, crs, metres=SET_CRS)
    except InputRefused as error:
        error.place = _in_rows(error.place, rows)
        raise error.within(file=NAME) from error.__cause__
    placed = [replace(each, place=_in_rows(each.place, rows)) for each in features.features]
    told_of = tuple(_in_rows(each, rows) for each in features.warnings)
    return replace(features, features=tuple(placed), warnings=told_of)


def _in_rows(text: str, rows: Sequence[Mapping[str, Any]]) -> str:
    """Return a text with features told as rows, by their id where they have one."""

    def row(match: re.Match[str]) -> str:
        zone_id = rows[int(match["number"]) - 1].get(ZONE_ID)
        own = f' "{zone_id}"' if zone_id is not None else match["name"] or ""
        return f"row {match['number']}{own}"

    return PLACE.sub(row, text)


def _geometry(table: Any) -> gpd.GeoSeries:
    if not isinstance(table, gpd.GeoDataFrame):
        raise InputRefused(
            f"is a {type(table).__name__}, not a GeoDataFrame",
            file="table",
            remedy="Read it with geopandas, or give it a geometry: geopandas.GeoDataFrame(table, "
            "geometry=…, crs=…).",
        )
    try:
        return table.geometry
    except AttributeError as error:
        raise InputRefused(
            "has no active geometry column", file=NAME, remedy="Set one with set_geometry."
        ) from error


def _named(plain: pd.DataFrame, rename: Mapping[str, str]) -> pd.DataFrame:
    """Return a table under the names of the schema; an index that holds zone_id is a column."""
    index = str(plain.index.name)
    if rename.get(index, index) == ZONE_ID:
        plain = plain.reset_index()
    missing = [each for each in rename if each not in plain.columns]
    if missing:
        there = ", ".join(map(str, plain.columns)) or "none"
        raise InputRefused(
            f"has no column {missing[0]!r} to rename", file=NAME, remedy=f"It has: {there}."
        )
    plain = plain.rename(columns=dict(rename))
    plain.columns = [str(each) for each in plain.columns]
    twice = plain.columns[plain.columns.duplicated()]
    if len(twice):
        raise InputRefused(
            f"has two columns called {twice[0]!r}", file=NAME, remedy="Keep one of them."
        )
    # Other shapes of a row are no facts about it.
    return plain[[each for each in plain.columns if not _holds_shapes(plain[each])]]


def _holds_shapes(column: pd.Series) -> bool:
    return bool(len(column)) and bool(shapely.is_geometry(column.to_numpy(dtype=object)).any())


def _values(row: Mapping[Any, Any], number: int, kind: str | None) -> dict[str, Any]:
    values = {str(name): _plain(value) for name, value in row.items()}  # cleaned when unpacked
    for name, value in values.items():
        if isinstance(value, float) and math.isinf(value):
            raise InputRefused(
                f"{name[:60]} is infinite", file=NAME, place=f"row {number}", remedy="Empty it."
            )
    return values if kind is None else {**values, "feature": kind}


def _plain(value: Any) -> Any:
    """Return a cell as text, a number, true/false or None."""
    if isinstance(value, (list, tuple, dict, set, np.ndarray)):
        return str(value)
    if value is None or value is pd.NaT or pd.isna(value):
        return None
    if isinstance(value, dt.date):  # a Timestamp is one
        return value.isoformat()
    if isinstance(value, (bool, int, float, str)):  # pandas hands its own numbers on as Python's
        return value
    return float(value) if isinstance(value, numbers.Real) else str(value)
