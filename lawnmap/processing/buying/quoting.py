"""The step ``quoting``: what the client is asked, with nothing in it of what it costs us."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.logistics.costing import priced
from lawnmap.model import Specification
from lawnmap.pages.words import known, word
from lawnmap.processing.buying.costs import unpriced
from lawnmap.schema import NOT_SET

COLUMNS = {column.name: column.dtype for column in schema.columns("quote")}
# The lines of a quote in order; clearing is priced with where the arisings go.
LINES = ("labour", "materials", "hire", "clearing", "travel")
NO_HOURS = "no hours worked out"
SHARE = {"fewest": 0.0, "middle": 0.5, "most": 1.0}  # of the way from the least cost to the most


def quoting(
    costs: pd.DataFrame,
    steps: pd.DataFrame,
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
    *,
    today: dt.date,
    left_out: Sequence[str] = (),
) -> pd.DataFrame:
    """Return the table ``quote`` of the schema; without a row when there is nothing to do.

    Parameters
    ----------
    costs, steps : DataFrame
        The tables of those names.
    zones, features : GeoDataFrame
    specification : Specification
        Mark-up, tax, least charge and terms under ``quote``, currency under ``money``.
    today : date
        The day from which the price holds.
    left_out : sequence of str
        Operations that the exclusions take out: their cost is in none of the tables given.

    Returns
    -------
    DataFrame
        One row a line, sum or term. The amounts are rounded, and add up as they stand.
    """
    if costs.empty:
        return _table([], {})
    own = specification.choice("quote") or {}
    money = specification.choice("money") or {}
    lacking = list(dict.fromkeys(_lacking(costs)))
    rows = [
        *_lines(costs, own, _decimals(money), whole=not lacking),
        *_terms(own, today),
        *({"part": "unpriced", "what": what} for what in lacking),
        *_not_in(costs, steps, zones),
        *({"part": "left_out", "what": each} for each in (*left_out, *_no_hours(costs))),
        *_unknown(steps, zones, features, specification),
    ]
    return _table(rows, money)


def _table(rows: list[dict[str, Any]], money: Mapping[str, Any]) -> pd.DataFrame:
    empty = {"part": "", "what": "", "amount": np.nan}
    empty |= {"currency": str(money.get("currency") or ""), "decimals": _decimals(money)}
    return pd.DataFrame([empty | row for row in rows], columns=list(COLUMNS)).astype(COLUMNS)


def _decimals(money: Mapping[str, Any]) -> int:
    return int(money.get("decimals", 2))


def _lines(
    costs: pd.DataFrame, own: Mapping[str, Any], decimals: int, *, whole: bool
) -> Iterator[dict[str, Any]]:
    """Return the priced lines and their sums; a line without any price has no amount."""
    share = SHARE[own.get("priced_at") or "most"]
    at = costs["cost_low"] + share * (costs["cost"] - costs["cost_low"])
    sums = at.groupby(_line_of(costs), sort=False).sum(min_count=1)
    there = [name for name in LINES if name in sums.index]
    there = [name for name in there if name != "hire" or not np.isnan(sums[name])]
    known = [name for name in there if not np.isnan(sums[name])]
    tax = own.get("tax_pct")
    price = priced(
        [float(sums[name]) for name in known],
        mark_up_pct=own.get("mark_up_pct") or 0.0,
        least_charge=(own.get("least_charge") or 0.0) if known else 0.0,
        tax_pct=tax or 0.0,
        decimals=decimals,
    )
    amounts = dict(zip(known, price.lines, strict=True))
    for name in there:
        yield {"part": name, "amount": float(amounts[name]) if name in amounts else np.nan}
    if price.made_up:
        yield {"part": "least_charge", "amount": float(price.made_up)}
    if tax and known:
        yield {"part": "before_tax", "amount": float(price.net)}
        what = f"{own.get('tax_name') or 'Tax'} {tax:g} %"
        yield {"part": "tax", "what": what, "amount": float(price.tax)}
    total = float(price.total) if known else np.nan
    yield {"part": "total" if whole else "total_so_far", "amount": total}


def _line_of(costs: pd.DataFrame) -> pd.Series:
    clearing = (costs["part"] == "disposal") | (
        (costs["part"] == "labour") & (costs["what"] == "clearing")
    )
    return costs["part"].mask(clearing, "clearing")


def _terms(own: Mapping[str, Any], today: dt.date) -> Iterator[dict[str, Any]]:
    days = own.get("valid_days")
    if days:
        yield {"part": "valid_until", "what": (today + dt.timedelta(days=days)).isoformat()}
    tax = own.get("tax_pct")
    if not tax:
        yield {"part": "tax_open" if tax is None else "no_tax"}
    for part, key in (("excluded", "exclusions"), ("assumed", "assumes")):
        for text in own.get(key) or ():
            yield {"part": part, "what": text}


def _lacking(costs: pd.DataFrame) -> Iterator[str]:
    """Return what has no price yet, in words that tell nothing of ours."""
    for row in unpriced(costs).to_dict("records"):
        # What is hired has its price; a machine without one is taken to be one's own.
        if row["part"] != "hire" and not row["remark"].endswith(NO_HOURS):
            yield row["what"] if row["part"] == "materials" else word(f"quote.{row['part']}")


def _not_in(
    costs: pd.DataFrame, steps: pd.DataFrame, zones: gpd.GeoDataFrame
) -> Iterator[dict[str, Any]]:
    """Return what is in the plan and not in the price."""
    for operation in _no_hours(costs):
        yield {"part": "not_in", "what": known("operation", operation)}
    for row in steps[steps["status"] == NOT_SET].to_dict("records"):
        name = zones["name"].get(row["zone_id"]) or row["zone_id"]
        yield {"part": "not_in", "what": f"{known('operation', row['operation'])}: {name}"}


def _no_hours(costs: pd.DataFrame) -> list[str]:
    """Return the operations that nobody is paid for, as watering by the client."""
    rows = unpriced(costs)
    rows = rows[rows["remark"].str.endswith(NO_HOURS)]
    return [str(each).replace(" ", "_") for each in rows["what"]]


def _unknown(
    steps: pd.DataFrame,
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
) -> Iterator[dict[str, Any]]:
    """Return what nobody has told yet and the price may turn on."""
    for name in zones.loc[zones["verdict_rule"] == "not_rated", "name"]:
        yield {"part": "unknown_zone", "what": name or ""}
    if not (features["feature"] == "hidden").any():
        yield {"part": "unknown_hidden"}
    if (
        not (specification.choice("disposal") or {}).get("route")
        and (steps["operation"] == "clearing").any()
    ):
        yield {"part": "unknown_route"}
    if not (steps["day"] != "").any():
        yield {"part": "unknown_days"}
