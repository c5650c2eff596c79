"""Rows of work that stay in a plan without being done: the reason, and nothing to buy or apply."""

from __future__ import annotations

import pandas as pd

from lawnmap import schema
from lawnmap.reference import tables

NUMBERS = [column.name for column in schema.columns("steps") if column.dtype == "float64"]
WORDS = ("flag", "gates")


def set_aside(rows: pd.DataFrame, rule_id: str, status: str) -> pd.DataFrame:
    """Return rows with another status, the rule behind it and its sentence, and no amounts.

    Parameters
    ----------
    rows : DataFrame
        Of the table ``steps``.
    rule_id : str
        A rule without blanks.
    status : str
    """
    rule = tables.rule(rule_id)
    return rows.assign(
        status=status,
        rule=rule_id,
        remark=tables.sentence(rule_id, {}),
        sources=" ".join([*rule.values, *rule.sources]),  # noqa: PD011 - no Series
        standing=rule.standing,
        **dict.fromkeys(NUMBERS, float("nan")),
        **dict.fromkeys(WORDS, ""),
    )
