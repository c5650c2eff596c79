"""What a page says of one step of work on one zone, as text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import pandas as pd

from lawnmap.agronomy.unit_systems import BULK
from lawnmap.exports.wording.amounts import area, missing, number, per_area, quantity, span, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.step_days import between, when
from lawnmap.exports.wording.zone_text import passes
from lawnmap.pages.words import known, word
from lawnmap.schema import BETWEEN, DO, NOT_ALLOWED, NOT_NEEDED

LEFT_OUT = (NOT_NEEDED, NOT_ALLOWED)
HEAPED = ("clearing", "aerating", "top_dressing")  # litres of these are not of water


class Step(NamedTuple):
    """One step in words; a part is empty when there is nothing to say.

    Attributes
    ----------
    zone_id, operation, status
        As in the table ``steps``.
    title : str
        The operation in words.
    row : dict
        The row itself, for the reason behind it.
    """

    zone_id: str
    operation: str
    status: str
    title: str
    product: str
    machine: str
    passes: str
    amount: str
    dose: str
    area: str
    water: str
    hours: str
    day: str
    may: str
    wait: str
    remark: str
    gates: str
    flag: str
    rule: str
    row: dict[str, Any]

    @property
    def means(self) -> str:
        """What it is done with: product, machine, number of passes."""
        return ", ".join(part for part in (self.product, self.machine, self.passes) if part)

    @property
    def amounts(self) -> str:
        """How much, and how much of it on a square metre."""
        return ", ".join(part for part in (self.amount, self.dose) if part)

    @property
    def details(self) -> list[tuple[str, str]]:
        """Every part that says something, with its label."""
        parts = (
            ("day", self.day),
            ("may", self.may),
            ("wait", self.wait),
            ("product", self.product),
            ("amount", self.amount),
            ("dose", self.dose),
            ("area", self.area),
            ("machine", self.machine),
            ("passes", self.passes),
            ("water", self.water),
            ("hours", self.hours),
            ("remark", self.remark),
            ("beside", text(self.row.get("beside"))),
        )
        return [(word(f"step.{key}"), said) for key, said in parts if said]

    @property
    def on_the_day(self) -> list[str]:
        """What must hold on the day and after it, line by line."""
        return [each for each in self.gates.split(BETWEEN) if each]


def steps(table: pd.DataFrame, units: str) -> dict[str, list[Step]]:
    """Return the steps of each zone in the order of work."""
    found: dict[str, list[Step]] = {}
    if "sequence" in table.columns:
        table = table.sort_values("sequence", kind="stable")
    for row in records(table):
        step = _step(row, units)
        found.setdefault(step.zone_id, []).append(step)
    return found


def working(found: Sequence[Step]) -> list[Step]:
    """Return the steps of a zone that are not left out."""
    return [step for step in found if step.status not in LEFT_OUT]


def left_out(found: Sequence[Step]) -> list[Step]:
    """Return the steps that were considered and left out."""
    return [step for step in found if step.status in LEFT_OUT]


def _step(row: dict[str, Any], units: str) -> Step:
    status = text(row.get("status")) or DO
    operation = text(row.get("operation"))
    applied = status == DO  # a rate that must not be applied is not shown at all
    return Step(
        zone_id=text(row.get("zone_id")),
        operation=operation,
        status=status,
        title=known("operation", operation),
        product=text(row.get("product")),
        machine=text(row.get("machine")),
        passes=passes(row),
        amount=span(row.get("amount_low"), row.get("amount"), heaped(row, "unit"), units),
        dose=_dose(row, units) if applied else "",
        area="" if missing(row.get("area_m2")) else area(float(row["area_m2"]), units=units),
        water=_water(row, units) if applied else "",
        hours=span(row.get("hours_low"), row.get("hours"), "h"),
        day=when(row),
        may=between(row),
        wait=_wait(row),
        remark=text(row.get("remark")),
        gates=text(row.get("gates")),
        flag=text(row.get("flag")),
        rule=text(row.get("rule")),
        row=row,
    )


def heaped(row: Mapping[str, Any] | pd.Series, column: str) -> str:
    """Return the unit of an amount, marked when it is of what is heaped and not poured."""
    unit = text(row.get(column))
    return f"{unit}{BULK}" if unit in {"l", "l/m²"} and row.get("operation") in HEAPED else unit


def _dose(row: Mapping[str, Any], units: str) -> str:
    if missing(row.get("dose")):
        return ""
    unit = heaped(row, "dose_unit") or text(row.get("unit"))
    unit = (unit if "/" in unit else f"{unit}/m²").replace("m2", "m²")
    return per_area(float(row["dose"]), unit, units)


def _water(row: Mapping[str, Any], units: str) -> str:
    if missing(row.get("water_l")) or float(row["water_l"]) <= 0:
        return ""
    return quantity(float(row["water_l"]), "l", units)


def _wait(row: Mapping[str, Any]) -> str:
    if missing(row.get("wait_days")) or float(row["wait_days"]) <= 0:
        return ""
    days = number(float(row["wait_days"]))
    return word("step.wait_day" if days == "1" else "step.wait_days", days=days)
