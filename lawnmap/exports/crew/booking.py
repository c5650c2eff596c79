"""Which machines are out on which days, and which of them have to be hired."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

from lawnmap.exports.wording.amounts import day, missing, number, text
from lawnmap.exports.wording.rows import records
from lawnmap.model import Plan
from lawnmap.pages.words import word

NEAR = 4  # days: over a weekend


class Booking(NamedTuple):
    """One machine.

    Attributes
    ----------
    machine : str
    first : str
        ISO date of its first day; empty without dates.
    days : str
        From when to when, and on how many days.
    remark : str
        Whether it is hired, and what was said of its price.
    cost : float or None
        Where the reader may see it.
    """

    machine: str
    first: str
    days: str
    remark: str
    cost: float | None


def bookings(plan: Plan) -> list[Booking]:
    """Return the machines of a plan by the first day on which they are out."""
    out: dict[str, set[dt.date]] = {}
    for name, on in (*plan.dates.out, *plan.dates.hire):
        out.setdefault(name, set()).add(on)
    hired = {name for name, _ in plan.dates.hire}
    costs = plan.tables.get("costs")
    rows = [] if costs is None else [row for row in records(costs) if row["part"] == "hire"]
    priced = {text(row["what"]): row for row in rows}
    made = []
    for name in dict.fromkeys([*out, *priced]):
        row = priced.get(name, {})
        told = [word("shopping.hired")] if name in hired else []
        told += [text(row["remark"])] if text(row.get("remark")) else []
        cost = None if missing(row.get("cost")) else float(row["cost"])
        days = sorted(out.get(name, ()))
        first = days[0].isoformat() if days else ""
        made.append(Booking(name, first, _days(days), "; ".join(told), cost))
    return sorted(made, key=lambda each: (not each.first, each.first, each.machine))


def _days(days: list[dt.date]) -> str:
    """Return the days in stretches: what lies nearer together is not taken back in between."""
    stretches: list[list[dt.date]] = []
    for on in days:
        if stretches and (on - stretches[-1][-1]).days <= NEAR:
            stretches[-1].append(on)
        else:
            stretches.append([on])
    return "; ".join(_stretch(each) for each in stretches)


def _stretch(days: list[dt.date]) -> str:
    if len(days) == 1:
        return day(days[0])
    return word("days.span", first=day(days[0]), last=day(days[-1]), count=number(len(days)))
