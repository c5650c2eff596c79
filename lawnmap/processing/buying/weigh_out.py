"""The step ``weigh_out``: what to weigh into each load with the scales and jug to hand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from lawnmap.logistics.weighing import fine_enough, weighed
from lawnmap.reference import tables
from lawnmap.reference.tables import shown

COLUMNS = ("full_weigh", "last_weigh", "short_pct")


def weigh_out(
    loads: pd.DataFrame, resolution: Mapping[str, float], *, most_short: float | None = None
) -> pd.DataFrame:
    """Add what to weigh into a full load and into the last part-load.

    Parameters
    ----------
    loads : DataFrame
        The table ``loads``.
    resolution : mapping of unit to float
        The smallest step of the scales [g] under ``g`` and of the jug [ml] under ``ml``. Where
        nobody gave it, nothing is rounded and the columns are NaN.
    most_short : float, optional
        Share of a load that may be missing before it is flagged; the reference value when left out.

    Returns
    -------
    DataFrame
        With COLUMNS. What is weighed is rounded down to what can be read off, so that no load is
        stronger than planned; ``short_pct`` says by how much the weaker of the two falls short.
    """
    most = tables.value("weigh_short_share").number if most_short is None else most_short
    rows = [_row(load, resolution.get(load["product_unit"], 0.0), most) for load in _each(loads)]
    columns = {
        name: pd.Series([row[name] for row in rows], index=loads.index, dtype=float)
        for name in COLUMNS
    }
    flags = [
        joined(load["flag"], row["flag"]) for load, row in zip(_each(loads), rows, strict=True)
    ]
    return loads.assign(**columns, flag=pd.Series(flags, index=loads.index, dtype=object))


def joined(*parts: str) -> str:
    """Return those parts that say something, as one text."""
    return " ".join(part for part in parts if part)


def _each(loads: pd.DataFrame) -> list[dict[Any, Any]]:
    return list(loads.to_dict("records"))


def _row(load: Mapping[Any, Any], step: float, most_short: float) -> dict[str, Any]:
    row: dict[str, Any] = dict.fromkeys(COLUMNS, np.nan) | {"flag": ""}
    if not step > 0:
        return row
    worst, least = 0.0, np.inf
    for which, there in (("full", load["full_loads"] > 0), ("last", load["last_product"] > 0)):
        if there:
            exact = load[f"{which}_product"]
            row[f"{which}_weigh"], short = weighed(exact, step)
            worst = max(worst, short)
            least = min(least, exact) if short > most_short else least
    row["short_pct"] = 100 * worst
    if np.isfinite(least):
        row["flag"] = _flag(least, load["product_unit"], step, most_short)
    return row


def _flag(exact: float, unit: str, step: float, most_short: float) -> str:
    what = "scales" if unit == "g" else "a jug"
    told, finer = weighed(exact, step).amount, fine_enough(exact, most_short)
    return (
        f"{shown(exact)} {unit} is due, of which {what} in steps of {step:g} {unit} can tell "
        f"{told:g} {unit}: use {what} in steps of {finer:g} {unit} or finer."
    )
