"""A plan as text for the terminal, and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pandas as pd

from lawnmap import schema
from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.cli import buying_text, iron_text
from lawnmap.cli.advice_text import of_steps, of_zone
from lawnmap.cli.told import amount, between, number, rows_data, spaced, table, zones_data
from lawnmap.exports.wording.amounts import area
from lawnmap.exports.wording.pass_text import pass_lines
from lawnmap.exports.wording.step_text import heaped
from lawnmap.exports.wording.worded import worded
from lawnmap.jobs.trace import named
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
    zone_id = named(plan, zone_id)
    return replace(
        plan,
        zones=plan.zones.loc[[zone_id]],
        steps=plan.steps[plan.steps["zone_id"] == zone_id],
        loads=plan.loads[plan.loads["zone_id"] == zone_id],
    )


def data(plan: Plan) -> dict[str, Any]:
    """Return a plan as JSON has it; every step with the sentence that says why."""
    steps = rows_data(plan.steps)
    zones = {zone_id: _zone_row(plan, zone_id) for zone_id in plan.zones.index}
    for step in steps:
        step["why"] = _why(step["rule"], {**zones[step["zone_id"]], **step})
    return {
        "today": plan.today.isoformat(),
        "zones": zones_data(plan.zones, schema.names("zones")),
        "steps": steps,
        "totals": rows_data(plan.totals),
        "loads": rows_data(plan.loads),
        **{name: rows_data(rows) for name, rows in plan.tables.items()},
        "cautions": list(plan.cautions),
        "days": {
            "visits": [day.isoformat() for day in plan.dates.visits],
            "hire": [[machine, day.isoformat()] for machine, day in plan.dates.hire],
            "told": list(plan.dates.told),
        },
    }


def text(plan: Plan, units: str = METRIC) -> str:
    """Return a plan for people: zones with their steps, totals, loads, cautions."""
    plan = worded(plan, units)
    parts = [_zone(plan, str(zone_id), units) for zone_id in plan.zones.index]
    if plan.dates.visits or plan.dates.told:
        parts.append("Days of work\n" + _days(plan))
    if not plan.totals.empty:
        whose = "" if len(plan.zones) == len(plan.site.zones) else " for the whole site"
        parts.append(f"Materials{whose}\n" + buying_text.materials(plan.totals, units))
    if not plan.loads.empty:
        parts.append("Loads\n" + buying_text.loads(plan.loads, units))
    parts += iron_text.compared(plan, units)
    if "costs" in plan.tables and not plan.tables["costs"].empty:
        quote = plan.tables["quote"]
        parts.append(buying_text.cost(plan.tables["costs"], quote, client=_has_client(plan)))
    if plan.cautions:
        parts.append("Cautions\n" + "\n".join(f"- {caution}" for caution in plan.cautions))
    return "\n\n".join(parts)


def _has_client(plan: Plan) -> bool:
    """Tell whether the work is done for somebody: who works at home asks nobody for money."""
    of = plan.specification.choice
    return of("user") == "professional" or (of("money") or {}).get("hour_rate") is not None


def _zone_row(plan: Plan, zone_id: str) -> dict[str, Any]:
    return dict(plan.zones.loc[zone_id].drop("geometry"))


def _zone(plan: Plan, zone_id: str, units: str) -> str:
    zone = plan.zones.loc[zone_id]
    head = (
        f"{zone_id}: {zone['name'] or ''}, {_ground(zone, units)}; "
        f"moss {zone['moss_class']}, thatch {zone['thatch_class']}: {zone['verdict']}"
    )
    steps = plan.steps[plan.steps["zone_id"] == zone_id]
    rows = [
        [
            str(step["sequence"]),
            step["operation"].replace("_", " "),
            step["status"],
            _when(step),
            str(step["product"] or step["machine"] or ""),
            amount(step["amount_low"], step["amount"], heaped(step, "unit"), units),
            _water(step, units),
            between(step["hours_low"], step["hours"]),
        ]
        for _, step in steps.iterrows()
    ]
    water = "water l" if units == METRIC else "water"
    lines = [head, table(["", "step", "status", "day", "with", "amount", water, "hours"], rows)]
    row = _zone_row(plan, zone_id)
    said = [*of_zone(row, units), *lines[1:], *of_steps(steps, row, units)]
    return "\n".join([lines[0], *said, *_bouts(plan, zone_id, units)])


def _bouts(plan: Plan, zone_id: str, units: str) -> Iterator[str]:
    """Yield how machines go over a zone, a line a pass."""
    for (zone, operation), lines in pass_lines(plan.tables.get("passes"), units).items():
        if zone == zone_id:
            yield from (f"  {operation.replace('_', ' ')}: {spaced(line)}" for line in lines)


def _when(step: pd.Series) -> str:
    first, last = str(step["day"] or ""), str(step["day_last"] or "")
    return f"{first} to {last}" if last else first


def _days(plan: Plan) -> str:
    """Return what is to be said of the days: which, how many, what moved, what found none."""
    days = ", ".join(day.isoformat() for day in plan.dates.visits)
    hire = ", ".join(f"{machine} {day.isoformat()}" for machine, day in plan.dates.hire)
    told = [f"- {each}" for each in plan.dates.told]
    return "\n".join(
        [*([f"On {days}."] if days else []), *([f"Hired: {hire}."] if hire else []), *told]
    )


def _ground(zone: pd.Series, units: str) -> str:
    if units != METRIC:
        return spaced(area(zone["ground_area_m2"], units=units, sigma=zone["area_sigma_m2"]))
    sigma = "" if pd.isna(zone["area_sigma_m2"]) else f" ± {number(zone['area_sigma_m2'])}"
    return f"{number(zone['ground_area_m2'])}{sigma} m²"


def _water(step: pd.Series, units: str) -> str:
    if units == METRIC:
        return number(step["water_l"])
    return amount(step["water_l"], step["water_l"], "l", units)


def _why(rule_id: Any, row: dict[str, Any]) -> str:
    """Return the sentence of a rule with its standing and where its values come from."""
    if not rule_id:
        return ""
    found = rule(str(rule_id))
    told = [source(each) for each in found.sources]
    names = [each.publisher or each.author or each.title or each.id for each in told]
    said = "; ".join(dict.fromkeys(name for name in names if name))
    return f"{sentence(found.id, row)} [{found.standing}{': ' + said if said else ''}]"
