"""The step ``weigh_out``: what to weigh into each load with the scales and jug to hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import pandas as pd

from lawnmap.errors import InputRefused
from lawnmap.logistics.weighing import fine_enough, weighed
from lawnmap.reference.tables import shown

COLUMNS = {
    "zone_id": "object", "operation": "object", "sequence": "int64", "product": "object",
    "machine": "object", "load": "object", "number": "int64", "exact": "float64",
    "weigh": "float64", "unit": "object", "water_l": "float64", "area_m2": "float64",
    "short_pct": "float64", "flag": "object",
}  # fmt: skip
FULL, LAST = "full", "last"


def weigh_out(
    loads: pd.DataFrame, resolution: Mapping[str, float], *, most_short: float
) -> pd.DataFrame:
    """Return one row for the full loads of an application and one for its last part-load.

    Parameters
    ----------
    loads : DataFrame
        The table ``loads``.
    resolution : mapping of unit to float
        The smallest step of the scales [g] under ``g`` and of the jug [ml] under ``ml``.
    most_short : float
        Share of a load that may be missing before it is flagged.

    Returns
    -------
    DataFrame
        With COLUMNS. ``weigh`` is `exact` rounded down to what can be read off, so that no load is
        stronger than planned; ``short_pct`` says by how much it is weaker.

    Raises
    ------
    InputRefused
        When the step of the scales for a unit is not known, or not above zero.
    """
    rows = [each for load in loads.to_dict("records") for each in _rows(load)]
    for row in rows:
        step = resolution.get(row["unit"], 0.0)
        if not step > 0:
            raise InputRefused(
                f"what can be read off in {row['unit']} is not known",
                remedy="Give the smallest step of your scales in g, and of your jug in ml.",
            )
        row["weigh"], short = weighed(row["exact"], step)
        row |= {"short_pct": 100 * short, "flag": _flag(row, short, step, most_short)}
    return pd.DataFrame(rows, columns=list(COLUMNS)).astype(COLUMNS)


def _rows(load: Mapping[Any, Any]) -> Iterator[dict[str, Any]]:
    """Return the kinds of load there are: full ones, and the last."""
    same = {name: load[name] for name in ("zone_id", "operation", "sequence", "product", "machine")}
    for which, number in ((FULL, int(load["full_loads"])), (LAST, int(load["last_product"] > 0))):
        if number:
            yield same | {
                "load": which,
                "number": number,
                "exact": load[f"{which}_product"],
                "unit": load["product_unit"],
                "water_l": load[f"{which}_water_l"],
                "area_m2": load[f"{which}_area_m2"],
            }


def _flag(row: Mapping[str, Any], short: float, step: float, most_short: float) -> str:
    if short <= most_short:
        return ""
    finer, unit = fine_enough(row["exact"], most_short), row["unit"]
    what = "scales" if unit == "g" else "a jug"
    return (
        f"{shown(row['exact'])} {unit} cannot be told on {what} in steps of {step:g} {unit}: use "
        f"{what} in steps of {finer:.1g} {unit} or finer."
    )
