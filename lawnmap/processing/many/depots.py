"""The steps ``depot_shopping`` and ``depot_machines``: what is bought for all sites of a depot.

A depot buys once for all its sites: packs are whole for the sum, and the shed is emptied once.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.logistics import costing
from lawnmap.model import Machine, Specification
from lawnmap.processing import machines
from lawnmap.processing.buying.disposal import DENSITY
from lawnmap.processing.buying.hiring import USUAL_DAY_H, hire_cost, hours_a_day
from lawnmap.processing.buying.totals import totals
from lawnmap.reference import tables
from lawnmap.schema import DO, PRICING

SHOPPING = {column.name: column.dtype for column in schema.columns("depot_shopping")}
MACHINES = {column.name: column.dtype for column in schema.columns("depot_machines")}
CLEARED = tuple(DENSITY)  # what comes off is not bought
NO_CARDS = Specification({})
MONTH = len("2026-09")
LATE = "9"  # behind every month: without a day

Specifications = Mapping[str, Specification]


def depot_shopping(needs: pd.DataFrame, specifications: Specifications) -> pd.DataFrame:
    """Return the table ``depot_shopping`` of the schema, by depot and month of first need.

    Parameters
    ----------
    needs : DataFrame
        The table ``site_needs``.
    specifications : mapping of str to Specification
        By depot, its label cards with packs, prices and what is in the shed. A depot that is not
        among them has no cards: then the amounts stand alone.

    Returns
    -------
    DataFrame
        One row a depot and product or material, for work that is to be done, and one for what is
        priced only. The order of the sites makes no difference.
    """
    bought = needs[
        needs["status"].isin([DO, PRICING])
        & (needs["unit"] != "")
        & (needs["amount"] > 0)
        & ~needs["operation"].isin(CLEARED)
    ]
    found = [
        _bought(str(depot), rows, specifications.get(str(depot), NO_CARDS))
        for depot, rows in bought.groupby("depot", sort=True)
    ]
    whole = pd.concat(found, ignore_index=True) if found else pd.DataFrame(columns=[*SHOPPING])
    return whole[[*SHOPPING]].astype(SHOPPING)


def depot_machines(
    hours: pd.DataFrame, specifications: Specifications, out: pd.DataFrame | None = None
) -> pd.DataFrame:
    """Return the table ``depot_machines`` of the schema, by depot, machine and month.

    Parameters
    ----------
    hours : DataFrame
        The table ``site_hours``.
    specifications : mapping of str to Specification
        By depot, its machines and the hours of its crew.
    out : DataFrame, optional
        ``depot``, ``machine`` and ``day`` (ISO) of each day on which a machine is out or hired, as
        the plans of sites have them (``dates.out`` and ``dates.hire``). The same machine on the
        same day at two sites is out once.

    Returns
    -------
    DataFrame
        ``days`` are never fewer than the hours take: then several of a kind are out on a day.
    """
    bare_hands = tables.machine("hand_spread").name
    worked = _worked(hours[~hours["machine"].isin(["", bare_hands])])
    dated = _dated(out)
    keys = sorted({*worked, *dated})
    rows = [
        _machine(key, worked.get(key, {}), dated.get(key), specifications.get(key[0], NO_CARDS))
        for key in keys
    ]
    return pd.DataFrame(rows, columns=[*MACHINES]).astype(MACHINES)


def _bought(depot: str, rows: pd.DataFrame, specification: Specification) -> pd.DataFrame:
    """Return what one depot buys; what is needed first is served first from the shed."""
    when = rows["month"].where(rows["month"] != "", LATE)
    ordered = rows.assign(when=when).sort_values(["when", "operation", "product", "status", "unit"])
    bought = totals(ordered, specification)
    named = ordered["product"].where(ordered["product"] != "", ordered["operation"])
    of = ordered.groupby([named, "status", "unit"], sort=False)  # the rows of the totals, in order
    return bought.assign(
        depot=depot,
        sites=of["site_id"].nunique().to_numpy(dtype=np.float64),
        month=of["when"].min().replace(LATE, "").to_numpy(dtype=object),
    )


def _worked(hours: pd.DataFrame) -> dict[tuple[str, str, str], dict[str, float]]:
    """Return sites and hours of each machine by depot, machine and month."""
    return {
        (str(depot), str(machine), str(month)): {
            "sites": float(rows["site_id"].nunique()),
            "hours_low": math.fsum(rows["hours_low"].fillna(0.0)),
            "hours": math.fsum(rows["hours"].fillna(0.0)),
        }
        for (depot, machine, month), rows in hours.groupby(["depot", "machine", "month"])
    }


def _dated(out: pd.DataFrame | None) -> dict[tuple[str, str, str], int]:
    """Return on how many days each machine is out."""
    if out is None or out.empty:
        return {}
    days = out[["depot", "machine", "day"]].drop_duplicates()
    return Counter(
        (str(depot), str(machine), str(day)[:MONTH])
        for depot, machine, day in days.itertuples(index=False)
    )


def _machine(
    key: tuple[str, str, str],
    worked: Mapping[str, float],
    dated: int | None,
    specification: Specification,
) -> dict[str, Any]:
    depot, name, month = key
    machine = machines.named(name, specification)
    least = _least(worked.get("hours", 0.0), machine, specification)
    row: dict[str, Any] = {"depot": depot, "machine": name, "month": month, "days_least": least}
    row |= {each: worked.get(each, np.nan) for each in ("sites", "hours_low", "hours")}
    days = np.nan if dated is None else float(max(dated, least))
    return row | {"days": days, "cost": _cost(machine, dated or 0, least, specification)}


def _least(hours: float, machine: Machine | None, specification: Specification) -> int:
    crew = specification.choice("crew") or {}
    usual = float(crew.get("hours_a_day") or USUAL_DAY_H)
    day = hours_a_day(machine, specification) if machine else usual
    return costing.days(hours, day)


def _cost(machine: Machine | None, dated: int, least: int, specification: Specification) -> float:
    """Return the hire of those days; NaN when it is one's own or nobody named a price."""
    days = max(dated, least)
    if machine is None or not machine.hire_a_day or not days:
        return np.nan
    price = hire_cost(machine, max(days, machine.hire_least_days or 0))
    decimals = (specification.choice("money") or {}).get("decimals", 2)
    return np.nan if price is None else costing.rounded(price, decimals)
