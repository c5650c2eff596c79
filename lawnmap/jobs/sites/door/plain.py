"""Columns of Arrow brought to two kinds: text, and numbers as float64."""

from __future__ import annotations

import math

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.jobs.sites.door.arrow import pa, pc

GEOMETRY = "geometry"
WKB = pa.large_binary()
TEXTS = (pa.types.is_string, pa.types.is_large_string, pa.types.is_string_view, pa.types.is_null)
NUMBERS = (pa.types.is_integer, pa.types.is_floating, pa.types.is_decimal)
DATES = (pa.types.is_date, pa.types.is_timestamp)
# A name means the same in every table.
FIGURES = frozenset(
    column.name for table in ("zones", "features") for column in schema.facts(table) if column.unit
)


def refuse_kind(own: str, kind: pa.DataType) -> None:
    """Refuse a column of a kind that cannot be what it is called.

    Raises
    ------
    InputRefused
        Naming the column and its kind.
    """
    if pa.types.is_dictionary(kind):
        kind = kind.value_type
    allowed = (*TEXTS, *NUMBERS) if own in FIGURES else (*TEXTS, *NUMBERS, *DATES)
    if not any(fits(kind) for fits in allowed):
        wanted = "numbers" if own in FIGURES else "text"
        raise InputRefused(
            f"the column {own} holds {str(kind)[:40]}, not {wanted}",
            remedy="Correct it, or give another column for it with --rename.",
        )


def rewritten(own: str, column: pa.Array) -> pa.Array:
    """Return a column as WKB, float64 or text; numbers written as text stay text for now."""
    if isinstance(column.type, pa.BaseExtensionType):
        column = column.storage
    if own == GEOMETRY:
        return _wkb(column)
    if pa.types.is_dictionary(column.type):
        column = column.dictionary_decode()
    kind = column.type
    if own in FIGURES and pa.types.is_null(kind):
        return column.cast(pa.float64())
    if any(holds(kind) for holds in TEXTS):
        return column.cast(pa.string())
    if own not in FIGURES:
        return _text(column)
    # A single-precision 0.1 is 0.1, not 0.10000000149: its own shortest text says so.
    column = column.cast(pa.string()) if kind == pa.float32() else column
    return column.cast(pa.float64(), safe=False)


def _wkb(column: pa.Array) -> pa.Array:
    kind = column.type
    if not (pa.types.is_binary(kind) or pa.types.is_large_binary(kind) or kind == pa.binary_view()):
        raise InputRefused(
            "the geometry column holds no WKB", remedy="Save it as GeoParquet 1.1 with WKB."
        )
    return column.cast(WKB)


def _text(column: pa.Array) -> pa.Array:
    """Return numbers as a person would write them, dates as ISO 8601."""
    if not pa.types.is_floating(column.type):
        return column.cast(pa.string())
    column = column.cast(pa.float64())
    # An id with a gap somewhere arrives as 12.0 where it was 12.
    whole = pc.equal(column, pc.round(column))
    if pc.all(pc.fill_null(whole, fill_value=True)).as_py() and _small(column):
        return column.cast(pa.int64()).cast(pa.string())
    texts = [
        None if each is None or math.isnan(each) else f"{each:.15g}" for each in column.to_pylist()
    ]
    return pa.array(texts, pa.string())


def _small(column: pa.Array) -> bool:
    most = pc.max(pc.abs(column)).as_py()
    return most is None or most < 2**53
