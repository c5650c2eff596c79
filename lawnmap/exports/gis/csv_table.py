"""The steps as a table for spreadsheets (RFC 4180): one row a zone × step."""

from __future__ import annotations

import csv
import io
import math
from numbers import Real
from typing import Any

import pandas as pd

from lawnmap.exports.gis.tables import table
from lawnmap.exports.wording.amounts import missing
from lawnmap.files.spreadsheet import guarded
from lawnmap.paper import Paper

TITLE = "steps of the plan as a table (CSV)"
SUFFIX = ".csv"
AUDIENCE = "owner"

# What a row says of its zone beside the id.
OF_ZONE = (
    "name",
    "client_number",
    "outline_area_m2",
    "plan_area_m2",
    "ground_area_m2",
    "iron_area_m2",
)
BOM = "\ufeff"  # without it some spreadsheets read UTF-8 in the code page of the machine
DECIMALS = 6  # a millionth of any unit we have: the rest is noise of the last binary digit


def render(paper: Paper) -> bytes:
    """Return the table.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience; columns that are absent are left out.

    Returns
    -------
    bytes
        UTF-8 with a byte-order mark, lines ended by CR LF, text in quotes, numbers bare. The same
        paper gives the same bytes.
    """
    steps, zones = table(paper, "steps"), table(paper, "zones").set_index("zone_id")
    of_zone = [name for name in OF_ZONE if name in zones.columns]
    of_step = [name for name in steps.columns if name != "zone_id"]
    return encoded(steps.join(zones[of_zone], on="zone_id")[["zone_id", *of_zone, *of_step]])


def encoded(rows: pd.DataFrame) -> bytes:
    """Return any table as such a file."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writerow(rows.columns)
    columns = [_cells(rows.iloc[:, place]) for place in range(rows.shape[1])]
    writer.writerows(zip(*columns, strict=True))
    return (BOM + text.getvalue()).encode("utf-8")


def _cells(column: pd.Series[Any]) -> list[str | int | float]:
    """Return the cells of a column as the csv module takes them: numbers bare, text quoted."""
    if pd.api.types.is_float_dtype(column.dtype):
        return [_number(each) for each in column.to_numpy(dtype=float).tolist()]
    known: dict[str, str | int | float] = {}  # of a million texts few are different
    found = []
    for each in column.tolist():
        cell = known.get(each) if isinstance(each, str) else _cell(each)
        found.append(known.setdefault(each, _cell(each)) if cell is None else cell)
    return found


def _cell(value: Any) -> str | int | float:
    if missing(value):
        return ""
    if isinstance(value, Real) and not isinstance(value, bool):
        return _number(float(value))
    return guarded(str(value))


def _number(value: float) -> str | int | float:
    number = round(value, DECIMALS) + 0.0  # no minus zero
    if not math.isfinite(number):
        return ""
    return int(number) if number.is_integer() else number
