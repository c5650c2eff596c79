"""Rows of the table ``steps``: what a treatment says of each zone, with what it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.reference import tables
from lawnmap.schema import DO
from lawnmap.treatments import names
from lawnmap.treatments.chosen import Chosen

TEXT = "object"


def rows(
    zones: pd.DataFrame | Chosen,
    operation: str,
    *,
    rule: Any,
    values: Iterable[str] = (),
    words: bool = True,
    **columns: Any,
) -> pd.DataFrame:
    """Return one row a zone.

    Parameters
    ----------
    zones : DataFrame or Chosen
        Only the zones that the operation is for, indexed by zone_id.
    operation : str
        Name of the treatment.
    rule : str or array of str
        Rule that gave each row its numbers.
    values : iterable of str
        Ids of reference values used beyond those of the rule.
    words : bool
        ``Specification.words``. Without them there are only the columns that are given, and
        ``zone_id`` is the index as it stands; what the rows rest on follows from their rule.
    **columns
        Columns of the table, each one value or one a zone. What is not given is empty, and
        ``status`` is then ``do``. A sentence may be given as a callable that makes it: it is not
        called where no words are wanted.
    """
    given = {"operation": operation, "status": DO, "rule": rule, **columns}
    if not words:
        return _figures(zones, given)
    rules = names.spelled(rule, len(zones))
    used = [grounds(each, tuple(values)) for each in rules]
    given |= {
        "zone_id": zones.index.astype(str),
        "sources": [ids for ids, _ in used],
        "standing": [standing for _, standing in used],
    }
    place = range(len(zones))
    return pd.DataFrame(
        {
            name: pd.Series(_told(given.get(name, _empty(dtype))), index=place, dtype=dtype)
            for name, dtype in _dtypes().items()
        }
    )


def joined(parts: Sequence[pd.DataFrame], *, words: bool) -> pd.DataFrame:
    """Return the rows of one treatment below each other; without words a part may lack columns."""
    some = [each for each in parts if len(each)] or list(parts[:1])
    if len(some) == 1:
        return some[0]
    if words:
        return pd.concat(some, ignore_index=True)
    columns = dict.fromkeys(name for each in some for name in each.columns)
    return pd.DataFrame(
        {name: _stacked([_of_part(each, name) for each in some]) for name in columns}
    )


def none(*, words: bool = True) -> pd.DataFrame:
    """Return the table without a row."""
    return rows(pd.DataFrame(index=pd.Index([], dtype=object)), "", rule="", words=words)


@cache
def grounds(rule_id: str, values: tuple[str, ...] = ()) -> tuple[str, str]:
    """Return the ids that a row rests on, in words, and the weakest standing among them."""
    if not rule_id:
        return "", ""
    rule = tables.rule(rule_id)
    ids = dict.fromkeys([*rule.values, *values, *rule.sources])  # noqa: PD011 - no Series
    standings = [rule.standing, *(tables.value(each).standing for each in values)]
    return " ".join(ids), tables.weakest(standings)


@cache
def _dtypes() -> dict[str, str]:
    """Return the type of each column that one row is enough for."""
    return {each.name: each.dtype for each in schema.columns("steps") if each.kind == "zone"}


def _empty(dtype: str) -> Any:
    return "" if dtype == TEXT else np.nan


def _told(value: Any) -> Any:
    """Return a column to be read: its sentences are made here."""
    made = value() if callable(value) else value
    return np.asarray(made) if isinstance(made, pd.Series | pd.Categorical) else made


def _figures(zones: pd.DataFrame | Chosen, given: dict[str, Any]) -> pd.DataFrame:
    """Return the columns that are given, one name for many rows being kept once."""
    many = len(zones)
    columns: dict[str, Any] = {"zone_id": zones.index}
    for name, dtype in _dtypes().items():
        value = given.get(name)
        if value is None or callable(value):
            continue
        if dtype != TEXT:
            columns[name] = np.broadcast_to(np.asarray(value, dtype=np.float64), many)
        elif isinstance(value, str):
            columns[name] = names.pick(np.zeros(many, dtype=np.int8), (value,))
        else:
            is_names = isinstance(value, pd.Categorical)
            columns[name] = value if is_names else pd.Series(value, dtype=object)
    return pd.DataFrame(columns)


def _of_part(part: pd.DataFrame, name: str) -> Any:
    if name in part:
        return part[name].array
    empty = _empty(_dtypes()[name])
    none = np.zeros(len(part), dtype=np.int8)
    return names.pick(none, (empty,)) if empty == "" else np.full(len(part), empty)


def _stacked(columns: Sequence[Any]) -> Any:
    if all(isinstance(each, pd.Categorical) for each in columns):
        return names.stacked(columns)
    found = np.concatenate([np.asarray(each) for each in columns])
    return pd.Series(found, dtype=found.dtype)
