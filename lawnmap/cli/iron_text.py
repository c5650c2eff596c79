"""Forms of iron and programmes side by side, as text for the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from lawnmap.agronomy.unit_systems import METRIC, rate_ground
from lawnmap.cli.told import amount, number, table
from lawnmap.exports.wording.sentences import sentence
from lawnmap.schema import DO

if TYPE_CHECKING:
    from lawnmap.model import Plan


def compared(plan: Plan, units: str) -> list[str]:
    """Return the parts of a plan that lay iron side by side; none where nothing was compared."""
    parts = []
    found = plan.tables.get("iron_forms")
    if found is not None and not found.empty:
        parts.append("Iron, form by form, one application\n" + _forms(found, units))
    ways = plan.tables.get("programmes")
    if ways is not None and not ways.empty:
        parts.append("Programmes, when the season is too short\n" + _programmes(ways, units))
    return parts


def _forms(found: pd.DataFrame, units: str) -> str:
    ground = rate_ground(units)
    rows = [
        [
            "use" if row["chosen"] else "",
            str(row["product"]),
            str(row["form"]),
            str(row["machine"])
            + ("" if row["to_hand"] or row["status"] != DO else " (not to hand)"),
            number(row["cost"], 2),
            number(row["cost_each"] * ground.size, 3 if units == METRIC else 2),
            number(row["hours"], 1),
            number(row["water_l"]) if units == METRIC else _amount(row["water_l"], "l", units),
            f"{number(row['accuracy_pct'], 1)} %" if pd.notna(row["accuracy_pct"]) else "",
        ]
        for _, row in found.iterrows()
    ]
    water = "water l" if units == METRIC else "water"
    head = ["", "product", "form", "with", "cost", f"a {ground.name}", "hours", water, "within"]
    return "\n".join([table(head, rows), *_verdicts(found, units)])


def _verdicts(found: pd.DataFrame, units: str) -> list[str]:
    return [f"- {sentence(row['rule'], _named(row), units)}" for _, row in found.iterrows()]


def _named(row: pd.Series) -> dict[str, object]:
    """Return a row under the names that the rules of a label card use too."""
    cells = {str(key): value for key, value in row.items()}
    of_card = {f"iron_{name}": cells[name] for name in ("product", "machine", "form")}
    return {**cells, **of_card}


def _programmes(ways: pd.DataFrame, units: str) -> str:
    rows = [
        [
            str(row["answer"]),
            str(row["programme"]),
            *(_span(row[f"{kind}_from"], row[f"{kind}_to"]) for kind in ("iron", "blades", "seed")),
            number(row["iron_kg"], 2) if units == METRIC else _amount(row["iron_kg"], "kg", units),
            number(row["cost"], 2),
        ]
        for _, row in ways.iterrows()
    ]
    iron = "iron kg" if units == METRIC else "iron"
    head = ["", "programme", "iron", "blades", "seed", iron, "cost this season"]
    told = [
        f"- {row['programme']}: {sentence(row['rule'], {}, units)} {row['remark']}".rstrip()
        for _, row in ways.iterrows()
    ]
    return "\n".join([table(head, rows), *told])


def _amount(value: float, unit: str, units: str) -> str:
    return amount(value, value, unit, units)


def _span(first: str, last: str) -> str:
    return f"{first} to {last}" if first else "none"
