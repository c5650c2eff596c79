"""The step ``costs``: what the plan costs its owner. Nothing is priced that has no price."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.days import Dates
from lawnmap.logistics import costing
from lawnmap.model import Machine, Specification
from lawnmap.processing import machines
from lawnmap.processing.buying.disposal import DENSITY, disposal
from lawnmap.processing.buying.hiring import hire_cost, hire_days
from lawnmap.schema import DO, PRICING

COLUMNS = {column.name: column.dtype for column in schema.columns("costs")}
PARTS = ("materials", "hire", "labour", "travel", "disposal")
NO_PRICE = "no price given"
NO_DATES = "no dates: days of work are counted"
HIRED = ("electric", "battery", "petrol", "tractor", "corer")  # what few people have of their own
NO_DATES_YET = Dates()
SUMMED = ("cost_low", "cost")


def costs(
    steps: pd.DataFrame,
    totals: pd.DataFrame,
    specification: Specification,
    dates: Dates = NO_DATES_YET,
) -> pd.DataFrame:
    """Return the table ``costs`` of the schema, for work that is still to be done.

    Parameters
    ----------
    steps, totals : DataFrame
        The tables of those names.
    specification : Specification
        Prices: of packs on the label cards, of hire on the machines, under ``money`` of an hour and
        of a visit, under ``disposal`` of a load.
    dates : Dates
        Days of work and of hire. Without any they are counted from the hours.

    Returns
    -------
    DataFrame
        What has no price says so in ``remark`` and has no cost; it is never 0. Each cost is
        rounded half up to the places of the currency, so that the lines add up as they stand.
    """
    live = steps[steps["status"].isin([DO, PRICING]) & (steps["kind"] != "")]
    if live.empty:
        return _table([])
    rows = [
        *_materials(totals),
        *_hire(live, specification, dates),
        *_labour(live, specification),
        *_travel(live, specification, dates),
        *disposal(live, specification),
    ]
    return _table(rows, (specification.choice("money") or {}).get("decimals", 2))


def unpriced(table: pd.DataFrame) -> pd.DataFrame:
    """Return the rows that have no cost."""
    return table[table["cost"].isna()]


def _table(rows: list[dict[str, Any]], decimals: int = 2) -> pd.DataFrame:
    empty = {name: "" if dtype == "object" else np.nan for name, dtype in COLUMNS.items()}
    said = [{**empty, **row, "remark": _remark(row)} for row in rows]
    table = pd.DataFrame(said, columns=list(COLUMNS)).astype(COLUMNS)
    whole = {name: [costing.rounded(each, decimals) for each in table[name]] for name in SUMMED}
    return table.assign(**whole)


def _remark(row: dict[str, Any]) -> str:
    """Return the remark, led by the word that there is no price where there is none."""
    told = row.get("remark", "")
    if not math.isnan(row.get("cost", math.nan)):
        return str(told)
    return f"{NO_PRICE}; {told}" if told else NO_PRICE


def _materials(totals: pd.DataFrame) -> Iterator[dict[str, Any]]:
    """Return one row a product: whole packs; what the shed holds costs nothing more."""
    for each in totals.to_dict("records"):
        if each["operation"] in DENSITY:
            continue
        known = not math.isnan(each["to_buy"])
        number = each["to_buy"] if known else each["amount"]
        remark = [each["packs"]] if each["packs"] else []
        remark += [PRICING] if each["status"] == PRICING else []
        remark += [each["flag"]] if each["flag"] else []
        yield {
            "part": "materials",
            "what": each["product"] or each["operation"].replace("_", " "),
            "number_low": number,
            "number": number,
            "number_unit": each["unit"],
            "cost_low": each["cost"],
            "cost": each["cost"],
            "remark": "; ".join(remark),
        }


def _hire(
    live: pd.DataFrame, specification: Specification, dates: Dates
) -> Iterator[dict[str, Any]]:
    """Return one row a machine that is hired, and one each that may have to be."""
    dated = Counter(name for name, _ in dates.out) | Counter(name for name, _ in dates.hire)
    used = live[live["machine"] != ""].groupby("machine", sort=False)
    for name, group in used:
        machine = machines.named(str(name), specification)
        if machine is None or not _to_hire(machine):
            continue
        low, high = (hire_days(machine, math.fsum(each), specification) for each in _hours(group))
        if dated[str(name)]:
            low = high = max(dated[str(name)], machine.hire_least_days or 0)
        if not high:
            continue
        row: dict[str, Any] = {
            "part": "hire",
            "what": str(name),
            "number_low": float(low),
            "number": float(high),
            "number_unit": "days",
            "remark": "if you have none of your own",
        }
        yield row if machine.hire_a_day is None else row | _hired(machine, low, high)


def _to_hire(machine: Machine) -> bool:
    """Tell whether a machine is hired, or is one of no make that stands in for a hired one."""
    if machine.hire_a_day is not None:
        return machine.hire_a_day > 0
    return machine.kind in HIRED and machine == machines.generic().get(machine.name)


def _hired(machine: Machine, low: int, high: int) -> dict[str, Any]:
    a_day, delivery = float(machine.hire_a_day or 0.0), machine.hire_delivery or 0.0
    told = [f"at least {machine.hire_least_days} days"] if machine.hire_least_days else []
    told += [f"{delivery:g} of it for bringing and fetching"] if delivery else []
    return {
        "price": a_day,
        "cost_low": hire_cost(machine, low),
        "cost": hire_cost(machine, high),
        "remark": "; ".join(told),
    }


def _labour(live: pd.DataFrame, specification: Specification) -> Iterator[dict[str, Any]]:
    """Return one row a treatment: its hours over all zones."""
    rate = (specification.choice("money") or {}).get("hour_rate")
    for operation, group in live.groupby("operation", sort=False):
        low, high = (math.fsum(each) for each in _hours(group))
        row: dict[str, Any] = {"part": "labour", "what": str(operation).replace("_", " ")}
        if not high > 0:
            yield row | {"remark": "no hours worked out"}
            continue
        row |= {"number_low": low, "number": high, "number_unit": "h"}
        if rate is not None:
            row |= {"price": rate, "cost_low": low * rate, "cost": high * rate}
        yield row


def _travel(
    live: pd.DataFrame, specification: Specification, dates: Dates
) -> Iterator[dict[str, Any]]:
    """Return the row of the visits: days of the schedule, else days of work."""
    crew = specification.choice("crew") or {}
    a_day = (crew.get("people") or 1) * (crew.get("hours_a_day") or 7.0)
    low, high = (costing.days(math.fsum(each), a_day) for each in _hours(live))
    remark = NO_DATES
    if dates.visits:
        low = high = len(dates.visits)
        remark = ""
    if not high:
        return
    price = (specification.choice("money") or {}).get("travel_a_visit")
    row: dict[str, Any] = {
        "part": "travel",
        "what": "visits",
        "number_low": float(low),
        "number": float(high),
        "number_unit": "visits",
        "remark": remark,
    }
    if price is not None:
        row |= {"price": price, "cost_low": low * price, "cost": high * price}
    yield row


def _hours(rows: pd.DataFrame) -> tuple[pd.Series, pd.Series]:
    """Return the fewest and the most hours of some steps."""
    high = rows["hours"].fillna(0.0)
    return rows["hours_low"].fillna(high), high
