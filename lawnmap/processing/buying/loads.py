"""The step ``loads``: what goes into each can, knapsack, tank or hopper, and how far it goes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import mixing
from lawnmap.logistics.weighing import weighed
from lawnmap.model import Specification
from lawnmap.processing import machines
from lawnmap.processing.buying.dissolving import dissolving
from lawnmap.processing.buying.hopper_loads import DRESSING, KINDS, hopper_load
from lawnmap.processing.buying.load_row import load_row
from lawnmap.processing.buying.weigh_out import weigh_out
from lawnmap.schema import DO

NAMES = [column.name for column in schema.columns("loads")]
DTYPES = {column.name: column.dtype for column in schema.columns("loads")}
PEG_M = 2.0  # width of the patch that is pegged out for one can
WORDS = {"can": "can", "knapsack": "knapsack", "boom": "tank"}


def loads(steps: pd.DataFrame, specification: Specification) -> pd.DataFrame:
    """Return the table ``loads`` of the schema, for what may be put down wet or dry.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``.
    specification : Specification
        Machines; one without a tank or hopper has no loads. Under ``weighing`` the smallest step
        of scales and jug, and how warm the water is.
    """
    wet = steps[(steps["status"] == DO) & (steps["kind"] == "spray") & (steps["water_l"] > 0)]
    own = specification.choice("weighing") or {}
    mixed = dissolving(_table(wet, _load, specification), steps, water_c=own.get("water_c"))
    dry = steps[(steps["status"] == DO) & _spread(steps)]
    found = _table(dry, hopper_load, specification)
    table = pd.concat([mixed.astype(DTYPES), found.astype(DTYPES)]).sort_index()
    table = table.reset_index(drop=True)
    table = weigh_out(table, _steps(specification))
    return table.astype(DTYPES)


def _spread(steps: pd.DataFrame) -> pd.Series:
    return steps["kind"].isin(KINDS) | (steps["operation"] == DRESSING)


def _table(
    steps: pd.DataFrame,
    load: Callable[[dict[Any, Any], Specification], dict[str, Any]],
    specification: Specification,
) -> pd.DataFrame:
    """Return the loads of some steps, each under the place of its step."""
    rows = zip(steps.index, steps.to_dict("records"), strict=True)
    found = {place: row for place, step in rows if (row := load(step, specification))}
    return pd.DataFrame(list(found.values()), index=list(found), columns=NAMES)


def _load(step: dict[Any, Any], specification: Specification) -> dict[str, Any]:
    machine = machines.named(step["machine"], specification)
    if machine is None or not machine.tank_l:
        return {}
    water_l_m2 = step["water_l"] / step["area_m2"]
    full = mixing.container_load(machine.tank_l, step["dose"], water_l_m2)
    row = load_row(step, full, container_l=machine.tank_l, unit=step["unit"])
    finest = _steps(specification).get(step["unit"], 0.0)
    return {**row, "remark": _words(WORDS.get(machine.kind, "load"), row, finest)}


def _steps(specification: Specification) -> dict[str, float]:
    """Return the smallest step of the scales [g] and jug [ml] by unit; 0 where nobody said."""
    own = specification.choice("weighing") or {}
    return {"g": own.get("scale_g", 0.0), "ml": own.get("jug_ml", 0.0)}


def _words(container: str, row: dict[str, Any], finest: float) -> str:
    """Return what goes into a container, as far as it can be weighed, what it does, and pegs."""
    parts = []
    for which, each, pegs in (("full", "each", "peg out "), ("last", "last", "")):
        product, water, ground = (
            row[f"{which}_{name}"] for name in ("product", "water_l", "area_m2")
        )
        if not (row["full_loads"] if which == "full" else product):
            continue
        told = weighed(product, finest).amount if finest > 0 else product
        width, length = mixing.pegged(ground, PEG_M)
        parts.append(
            f"{each} {container}: {told:.4g} {row['product_unit']} in {water:.4g} l does "
            f"{ground:.4g} m²: {pegs}{width:g} × {length:.3g} m"
        )
    return ". ".join(parts)
