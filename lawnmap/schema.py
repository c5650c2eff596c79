"""What every column of every table means: the nomenclature of lawnmap, and nothing else.

The table itself is ``columns.csv`` beside this file. A *fact* was seen or measured and is kept in
the site file. A *worked out* column is made again each time by the step it names, and never stored.
Units are in the names, because GeoJSON has no other place for them.
"""

from __future__ import annotations

import csv
import re
from functools import cache
from importlib.resources import files
from typing import NamedTuple

# Who may see a column, from the widest circle to the narrowest: a later one sees all before it.
AUDIENCES = ("public", "client", "crew", "owner")

# Kinds of feature on a site, and the geometry each may have.
POLYGON = ("Polygon", "MultiPolygon")
LINE = ("LineString", "MultiLineString")
POINT = ("Point",)
FEATURES: dict[str, tuple[str, ...]] = {
    "zone": POLYGON,
    "tree": POINT + POLYGON,
    "building": POLYGON,
    "hedge": LINE + POLYGON,
    "fence": LINE + POLYGON,
    "paving": POLYGON,
    "water": POINT + LINE + POLYGON,
    "drain": POINT + LINE + POLYGON,
    "hidden": POINT + LINE,
    "supply": POINT,
    "bed": POLYGON,
    "access": POINT + LINE,
    "core": POINT,
}

# A zone_id: short, plain, and good in a file name.
ZONE_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")

# What ``status`` says of a step.
DO = "do"
PRICING = "for pricing only"
NOT_SET = "not set: do not apply"
NOT_ALLOWED = "not allowed"
NOT_NEEDED = "not needed"
LATER = "later"
DONE = "done"

BETWEEN = "; "  # parts the lines in a cell that holds a list of them
LEAVE = "leave it alone"  # the operation of a zone where nothing is to be done
UNRATED = "not rated"  # the verdict on a zone that nobody can judge yet
RATE_IT = "rate it first"  # and that of a zone where nobody knows yet
NO_WORK = (LEAVE, RATE_IT)

# These take their area out of a zone they lie in; a tree takes out its stem.
OBSTACLES = ("bed", "building", "paving", "water", "tree")


class Column(NamedTuple):
    """One column of one table.

    Attributes
    ----------
    table, name : str
        Where it stands and what it is called.
    unit : str
        Empty for text; ``class`` for a rating, ``unit`` where another column names the unit.
    dtype : str
        What pandas holds it as.
    step : str
        The step that works it out; empty for a fact.
    kind : str
        What one row of that step looks at: zone, site or job; empty for a fact.
    low, high : float or None
        The allowed range of a fact.
    words : tuple of str
        The only words a fact may hold; empty when any will do.
    seen_by : str
        The widest of AUDIENCES that may see it.
    meaning : str
        What it is, for the docs.
    """

    table: str
    name: str
    unit: str
    dtype: str
    step: str
    kind: str
    low: float | None
    high: float | None
    words: tuple[str, ...]
    seen_by: str
    meaning: str


def _read() -> tuple[Column, ...]:
    text = files("lawnmap").joinpath("columns.csv").read_text(encoding="utf-8")
    return tuple(_column(row) for row in csv.DictReader(text.splitlines()))


def _column(row: dict[str, str]) -> Column:
    low, high = (float(row[key]) if row[key] else None for key in ("low", "high"))
    words = tuple(row["words"].split("|")) if row["words"] else ()
    rest = {key: row[key] for key in Column._fields if key not in {"low", "high", "words"}}
    return Column(**rest, low=low, high=high, words=words)


COLUMNS = _read()


@cache
def columns(table: str) -> tuple[Column, ...]:
    """Return the columns of one table in order."""
    return tuple(column for column in COLUMNS if column.table == table)


def facts(table: str) -> tuple[Column, ...]:
    """Return the fact columns of one table."""
    return tuple(column for column in columns(table) if not column.step)


def names(table: str, *, audience: str = "owner") -> list[str]:
    """Return the column names of a table that `audience` may see.

    Examples
    --------
    >>> "private_note" in names("zones", audience="client")
    False
    """
    circle = AUDIENCES[: AUDIENCES.index(audience) + 1]
    return [column.name for column in columns(table) if column.seen_by in circle]
