"""Facts checked by columns: a value is looked at once for all the rows that have it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.files.limits import BULK
from lawnmap.jobs.sites.door.arrow import pa, pc
from lawnmap.jobs.sites.door.content import ZONES, Content
from lawnmap.jobs.sites.door.trouble import Trouble
from lawnmap.processing.entering.attributes import CLASSES, DATES, adopt

LONGEST_TEXT = 10_000  # characters of a note
NAMES = {"name", "zone_id", "region", "depot", "client_number", "lot", "beat", "looked_after_by"}


def checked(
    columns: Mapping[str, pa.Array], many: int, trouble: Trouble, content: Content = ZONES
) -> dict[str, pd.Series]:
    """Return every column but those that name the rows, as the schema has them.

    Parameters
    ----------
    columns : mapping of str to Array, each of shape (n,)
        float64 or text by our names; those that are not there are filled with what is missing.
    many : int
        Number of rows.
    trouble : Trouble
        Is told of every value that cannot be.
    content : Content
    """
    found: dict[str, pd.Series] = {}
    for name in content.columns:
        if name in content.keys:
            continue
        array, fact = columns.get(name), content.facts.get(name)
        kind = fact.dtype if fact else "object"
        if array is None:
            values = _missing(many, kind) if fact else _blank(many)
        elif fact and kind == "float64":
            values = _figures(fact, array, trouble, content.one)
        else:
            values = _words(name, fact, array, trouble, content.one)
        if not fact:
            values[values == None] = ""  # noqa: E711  (an array of objects)
        if name in content.needed:
            trouble.add_all(np.flatnonzero(pd.isna(values)), name, f"{name} is missing")
        found[name] = pd.Series(values, dtype=kind, copy=False)
    return found


@lru_cache(maxsize=4)
def _missing(many: int, kind: str) -> npt.NDArray[Any]:
    """Return a column that nobody filled in; a table copies it, so one serves all."""
    values = np.full(many, None if kind == "object" else np.nan, dtype=kind)
    values.flags.writeable = False
    return values


def _blank(many: int) -> npt.NDArray[np.object_]:
    return np.full(many, "", dtype=object)


def _figures(
    column: schema.Column, array: pa.Array, trouble: Trouble, one: str
) -> npt.NDArray[np.float64]:
    """Return numbers, NaN where there is none; those that cannot be are told."""
    if pa.types.is_string(array.type):
        array = _adopted(column.name, array, trouble, one, pa.float64())
    values = np.asarray(array.to_numpy(zero_copy_only=False), dtype=np.float64)
    wrong = np.isinf(values)
    if column.low is not None:
        wrong |= values < column.low
    if column.high is not None:
        wrong |= values > column.high
    if column.name in CLASSES:
        wrong |= (values != np.floor(values)) & ~np.isnan(values)
    for value in np.unique(values[wrong]):
        _, reason = _verdict(column.name, float(value), one)
        trouble.add_all(np.flatnonzero(values == value), column.name, reason)
    return np.array(values) if not values.flags.writeable else values


def _words(
    name: str, fact: schema.Column | None, array: pa.Array, trouble: Trouble, one: str
) -> npt.NDArray[np.object_]:
    """Return text, None where there is none; words that are not allowed are told."""
    array = pc.utf8_trim_whitespace(array)
    array = pc.if_else(pc.equal(array, ""), pa.scalar(None, array.type), array)
    if fact and (fact.words or name in DATES):
        array = _adopted(name, array, trouble, one, pa.string())
    else:
        most = BULK.name_length if name in NAMES else LONGEST_TEXT
        lengths = pc.fill_null(pc.utf8_length(array), 0).to_numpy(zero_copy_only=False)
        for row in np.flatnonzero(lengths > most):
            trouble.add(int(row), name, f"{name} is {int(lengths[row]):,} characters long")
    return np.array(array.to_numpy(zero_copy_only=False), dtype=object)


def _adopted(name: str, array: pa.Array, trouble: Trouble, one: str, kind: pa.DataType) -> pa.Array:
    """Return values as the site door would take them, each different one looked at once."""
    coded = array.dictionary_encode()
    codes = coded.indices.to_numpy(zero_copy_only=False)
    values = coded.dictionary.to_pylist()
    verdicts = [_verdict(name, value[: BULK.name_length], one) for value in values]
    for code, (_, reason) in enumerate(verdicts):
        if reason:
            trouble.add_all(np.flatnonzero(codes == code), name, reason)
    return pa.array([value for value, _ in verdicts], kind).take(coded.indices)


@lru_cache(maxsize=4_096)
def _verdict(name: str, value: float | str, one: str) -> tuple[Any, str]:
    """Return a value as the schema has it, and what is wrong with it."""
    try:
        return adopt({name: value}, one)[0].get(name), ""
    except InputRefused as error:
        return None, error.problem
