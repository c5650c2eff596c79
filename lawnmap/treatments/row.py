"""Rows of the table ``steps``: every column filled, with what a row rests on."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.reference import tables
from lawnmap.schema import DO


def rows(
    zones: pd.DataFrame,
    operation: str,
    *,
    rule: Any,
    values: Iterable[str] = (),
    **columns: Any,
) -> pd.DataFrame:
    """Return one row a zone.

    Parameters
    ----------
    zones : DataFrame
        Only the zones that the operation is for, indexed by zone_id.
    operation : str
        Name of the treatment.
    rule : str or array of str
        Rule that gave each row its numbers.
    values : iterable of str
        Ids of reference values used beyond those of the rule.
    **columns
        Columns of the table, each one value or one a zone. What is not given is empty, and
        ``status`` is then ``do``.
    """
    given = {"zone_id": zones.index.astype(str), "operation": operation, "status": DO, **columns}
    table = pd.DataFrame(index=range(len(zones)))
    rules = np.broadcast_to(np.asarray(rule, dtype=object), len(zones))
    used = [grounds(each, tuple(values)) for each in rules]
    given |= {
        "rule": rules,
        "sources": [ids for ids, _ in used],
        "standing": [standing for _, standing in used],
    }
    for column in schema.columns("steps"):
        if column.kind == "zone":
            empty: Any = "" if column.dtype == "object" else np.nan
            value = given.get(column.name, empty)
            if isinstance(value, pd.Series):
                value = value.to_numpy()
            table[column.name] = pd.Series(value, index=table.index, dtype=column.dtype)
    return table


def none() -> pd.DataFrame:
    """Return the table without a row."""
    return rows(pd.DataFrame(index=pd.Index([], dtype=object)), "", rule="")


@cache
def grounds(rule_id: str, values: tuple[str, ...] = ()) -> tuple[str, str]:
    """Return the ids that a row rests on, in words, and the weakest standing among them."""
    if not rule_id:
        return "", ""
    rule = tables.rule(rule_id)
    ids = dict.fromkeys([*rule.values, *values, *rule.sources])  # noqa: PD011 - no Series
    standings = [rule.standing, *(tables.value(each).standing for each in values)]
    return " ".join(ids), tables.weakest(standings)
