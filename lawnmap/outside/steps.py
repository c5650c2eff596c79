"""What a treatment of somebody else gives: rows of the table ``steps``, looked at by the column.

Ten thousand zones cost what one does: a word is looked at once however often it stands there.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from pandas.api.types import infer_dtype, is_bool_dtype, is_numeric_dtype

from lawnmap import schema
from lawnmap.model import Specification
from lawnmap.outside.unfit import Unfit
from lawnmap.reference import tables

STATUSES = (
    schema.DO,
    schema.PRICING,
    schema.NOT_SET,
    schema.NOT_ALLOWED,
    schema.NOT_NEEDED,
    schema.LATER,
)
LIVE = (schema.DO, schema.PRICING)
NEEDED = ("zone_id", "status", "rule")
RANGES = (("amount_low", "amount"), ("hours_low", "hours"))
SLACK = 1e-9  # of a range: what adding in another order leaves
SLACK_M2 = 0.01  # of ground that was cut, and is added up in another order


def steps(given: Any, zones: pd.DataFrame, specification: Specification) -> pd.DataFrame:
    """Return the rows of a treatment, when they speak of its zones in figures that can be.

    Parameters
    ----------
    given : Any
        What the treatment gave.
    zones : DataFrame
        Those it was asked about.
    specification : Specification

    Raises
    ------
    Unfit
        Naming the column, and the first zone that is wrong.
    """
    if not isinstance(given, pd.DataFrame):
        raise Unfit("steps gives no DataFrame")
    lacking = [name for name in NEEDED if name not in given.columns]
    if lacking:
        raise Unfit(f"its rows have no column {', '.join(lacking)}")
    if not given.columns.is_unique:
        raise Unfit("a column of its rows stands twice")
    rows = given.reset_index(drop=True)
    places = places_of(rows, zones, specification)
    if (unknown := places < 0).any():
        zone = rows["zone_id"].iloc[int(unknown.argmax())]
        raise Unfit(f"it speaks of a zone {zone!r}, which is not its")
    _check_words(rows)
    for column in schema.columns("steps"):
        if column.name in rows and column.dtype != "object":
            _check_numbers(rows, column.name)
    _check_amounts(rows, zones["ground_area_m2"].to_numpy(dtype=float)[places])
    return rows


def places_of(
    rows: pd.DataFrame, zones: pd.DataFrame, specification: Specification
) -> npt.NDArray[np.intp]:
    """Return the place of each row's zone among some zones; -1 for one that is not there."""
    known = zones.index.astype(str) if specification.words else zones.index
    return known.get_indexer(pd.Index(rows["zone_id"]))


def _check_words(rows: pd.DataFrame) -> None:
    """Look at each different word of columns in which few differ, and at the kind of the others."""
    for column in schema.columns("steps"):
        if column.name in rows and column.name != "zone_id" and column.dtype == "object":
            texts = rows[column.name].dropna()
            if len(texts) and infer_dtype(np.asarray(texts.unique(), dtype=object)) != "string":
                raise Unfit(f"{column.name} is not text everywhere")
    for name, known, needed in (
        ("status", STATUSES, True),
        ("rule", tables.rules(), True),
        ("standing", tables.STANDINGS, False),
    ):
        words = rows[name].fillna("").unique() if name in rows else ()
        for word in words:
            if word not in known and (word or needed):
                raise Unfit(f"the {name} {str(word)[:60]!r} is none that is known")


def _check_numbers(rows: pd.DataFrame, name: str) -> None:
    column = rows[name]
    if not is_numeric_dtype(column) or is_bool_dtype(column):
        raise Unfit(f"{name} is not a number everywhere")
    numbers = column.to_numpy(dtype=float)
    _refuse(rows, (numbers < 0) | (abs(numbers) == math.inf), name)


def _check_amounts(rows: pd.DataFrame, ground: np.ndarray) -> None:
    """Look at what is to be done: its ground and amount are known, and least is not most.

    No row has more than the ground of its zone.
    """
    live = rows["status"].isin(LIVE)
    area = _column(rows, "area_m2")
    _refuse(rows, live & area.isna(), "area_m2")
    _refuse(rows, area > ground + SLACK_M2, "area_m2", ", which has less ground")
    if "unit" in rows:
        measured = live & rows["unit"].notna() & (rows["unit"] != "")
        _refuse(rows, measured & _column(rows, "amount").isna(), "amount")
    for low, high in RANGES:
        _refuse(rows, _column(rows, low) > _column(rows, high) * (1 + SLACK), low)


def _column(rows: pd.DataFrame, name: str) -> pd.Series[float]:
    return rows[name] if name in rows else pd.Series(math.nan, index=rows.index)


def _refuse(rows: pd.DataFrame, wrong: Any, name: str, why: str = "") -> None:
    """Refuse rows where a mask holds, and name the first."""
    if wrong.any():
        row = rows.iloc[int(wrong.argmax())]
        raise Unfit(f"{name} is {row.get(name, math.nan):g} for the zone {row['zone_id']}{why}")
