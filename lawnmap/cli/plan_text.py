"""A plan as text for the terminal, and as JSON."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pandas as pd

from lawnmap import schema
from lawnmap.cli.told import number, rows_data, table, zones_data
from lawnmap.errors import InputRefused
from lawnmap.reference.tables import rule, sentence, source

if TYPE_CHECKING:
    from lawnmap.model import Plan


def narrowed(plan: Plan, zone_id: str | None) -> Plan:
    """Return the plan with the rows of one zone only.

    Raises
    ------
    InputRefused
        When there is no such zone.
    """
    if zone_id is None:
        return plan
    if zone_id not in plan.zones.index:
        raise InputRefused(
            f"there is no zone {zone_id!r}", remedy=f"There are: {', '.join(plan.zones.index)}."
        )
    return replace(
        plan,
        zones=plan.zones.loc[[zone_id]],
        steps=plan.steps[plan.steps["zone_id"] == zone_id],
        loads=plan.loads[plan.loads["zone_id"] == zone_id],
    )


def data(plan: Plan) -> dict[str, Any]:
    """Return a plan as JSON has it; every step with the sentence that says why."""
    steps = rows_data(plan.steps)
    for step in steps:
        step["why"] = _why(step["rule"], {**_zone_row(plan, step["zone_id"]), **step})
    return {
        "today": plan.today.isoformat(),
        "zones": zones_data(plan.zones, schema.names("zones")),
        "steps": steps,
        "totals": rows_data(plan.totals),
        "loads": rows_data(plan.loads),
        "cautions": list(plan.cautions),
    }


def text(plan: Plan, *, why: bool) -> str:
    """Return a plan for people: zones with their steps, totals, loads, cautions."""
    parts = [_zone(plan, str(zone_id), why=why) for zone_id in plan.zones.index]
    if not plan.totals.empty:
        whose = "" if len(plan.zones) == len(plan.site.zones) else " for the whole site"
        parts.append(f"Materials{whose}\n" + _totals(plan.totals))
    if not plan.loads.empty:
        parts.append("Loads\n" + _loads(plan.loads))
    if plan.cautions:
        parts.append("Cautions\n" + "\n".join(f"- {caution}" for caution in plan.cautions))
    return "\n\n".join(parts)


def _zone_row(plan: Plan, zone_id: str) -> dict[str, Any]:
    return dict(plan.zones.loc[zone_id].drop("geometry"))


def _zone(plan: Plan, zone_id: str, *, why: bool) -> str:
    zone = plan.zones.loc[zone_id]
    sigma = "" if pd.isna(zone["area_sigma_m2"]) else f" ± {number(zone['area_sigma_m2'])}"
    head = (
        f"{zone_id}: {zone['name'] or ''}, {number(zone['ground_area_m2'])}{sigma} m²; "
        f"moss {zone['moss_class']}, thatch {zone['thatch_class']}: {zone['verdict']}"
    )
    steps = plan.steps[plan.steps["zone_id"] == zone_id]
    rows = [
        [
            str(step["sequence"]),
            step["operation"].replace("_", " "),
            step["status"],
            str(step["product"] or step["machine"] or ""),
            _amount(step),
            number(step["water_l"]),
            _range(step["hours_low"], step["hours"]),
        ]
        for _, step in steps.iterrows()
    ]
    lines = [head, table(["", "step", "status", "with", "amount", "water l", "hours"], rows)]
    if why:
        zone_row = _zone_row(plan, zone_id)
        lines += [
            f"  {step['sequence']}. {_why(step['rule'], {**zone_row, **step})}"
            for _, step in steps.iterrows()
        ]
    return "\n".join(lines)


def _amount(step: pd.Series) -> str:
    if pd.isna(step["amount"]) or not step["unit"]:
        return ""
    return f"{_range(step['amount_low'], step['amount'])} {step['unit']}"


def _range(low: float, high: float) -> str:
    if pd.isna(high):
        return ""
    return number(high) if pd.isna(low) or low == high else f"{number(low)}–{number(high)}"


def _why(rule_id: Any, row: dict[str, Any]) -> str:
    """Return the sentence of a rule with its standing and where its values come from."""
    if not rule_id:
        return ""
    found = rule(str(rule_id))
    told = [source(each) for each in found.sources]
    names = [each.publisher or each.author or each.title or each.id for each in told]
    said = "; ".join(dict.fromkeys(name for name in names if name))
    return f"{sentence(found.id, row)} [{found.standing}{': ' + said if said else ''}]"


def _totals(totals: pd.DataFrame) -> str:
    rows = [
        [
            str(each["product"]),
            str(each["operation"]).replace("_", " "),
            str(each["status"]),
            f"{_range(each['amount_low'], each['amount'])} {each['unit']}",
            str(each["packs"] or ""),
            number(each["cost"], 2),
        ]
        for _, each in totals.iterrows()
    ]
    return table(["product", "for", "status", "amount", "packs", "cost"], rows)


def _loads(loads: pd.DataFrame) -> str:
    rows = [
        [
            str(each["zone_id"]),
            str(each["sequence"]),
            str(each["product"]),
            str(each["machine"]),
            f"{each['full_loads']:.0f} × {number(each['full_product'])} {each['product_unit']} "
            f"in {number(each['full_water_l'])} l on {number(each['full_area_m2'])} m²",
            f"{number(each['last_product'])} {each['product_unit']} in "
            f"{number(each['last_water_l'])} l on {number(each['last_area_m2'])} m²",
        ]
        for _, each in loads.iterrows()
    ]
    return table(["zone", "step", "product", "with", "full loads", "last part-load"], rows)
