"""Forms of iron and programmes side by side, as text for the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from lawnmap.cli.told import number, table
from lawnmap.reference.tables import sentence
from lawnmap.schema import DO

if TYPE_CHECKING:
    from lawnmap.model import Plan


def compared(plan: Plan) -> list[str]:
    """Return the parts of a plan that lay iron side by side; none where nothing was compared."""
    parts = []
    found = plan.tables.get("iron_forms")
    if found is not None and not found.empty:
        parts.append("Iron, form by form, one application\n" + _forms(found))
    ways = plan.tables.get("programmes")
    if ways is not None and not ways.empty:
        parts.append("Programmes, when autumn is too short\n" + _programmes(ways))
    return parts


def _forms(found: pd.DataFrame) -> str:
    rows = [
        [
            "use" if row["chosen"] else "",
            str(row["product"]),
            str(row["form"]),
            str(row["machine"])
            + ("" if row["to_hand"] or row["status"] != DO else " (not to hand)"),
            number(row["cost"], 2),
            number(row["cost_each"], 3),
            number(row["hours"], 1),
            number(row["water_l"]),
            f"{number(row['accuracy_pct'], 1)} %" if pd.notna(row["accuracy_pct"]) else "",
        ]
        for _, row in found.iterrows()
    ]
    head = ["", "product", "form", "with", "cost", "a m²", "hours", "water l", "within"]
    return "\n".join([table(head, rows), *_verdicts(found)])


def _verdicts(found: pd.DataFrame) -> list[str]:
    return [f"- {sentence(row['rule'], _named(row))}" for _, row in found.iterrows()]


def _named(row: pd.Series) -> dict[str, object]:
    """Return a row under the names that the rules of a label card use too."""
    cells = {str(key): value for key, value in row.items()}
    of_card = {f"iron_{name}": cells[name] for name in ("product", "machine", "form")}
    return {**cells, **of_card}


def _programmes(ways: pd.DataFrame) -> str:
    rows = [
        [
            str(row["answer"]),
            str(row["programme"]),
            *(_span(row[f"{kind}_from"], row[f"{kind}_to"]) for kind in ("iron", "blades", "seed")),
            number(row["iron_kg"], 2),
            number(row["cost"], 2),
        ]
        for _, row in ways.iterrows()
    ]
    head = ["", "programme", "iron", "blades", "seed", "iron kg", "cost this season"]
    told = [
        f"- {row['programme']}: {sentence(row['rule'], {})} {row['remark']}".rstrip()
        for _, row in ways.iterrows()
    ]
    return "\n".join([table(head, rows), *told])


def _span(first: str, last: str) -> str:
    return f"{first} to {last}" if first else "none"
