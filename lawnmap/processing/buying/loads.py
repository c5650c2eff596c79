"""The step ``loads``: what goes into each can, knapsack, tank or hopper, and how far it goes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import mixing
from lawnmap.logistics.loads import loads as count_loads
from lawnmap.model import Specification
from lawnmap.processing import machines
from lawnmap.processing.buying.dissolving import dissolving
from lawnmap.processing.buying.hopper_loads import DRESSING, KINDS, hopper_load
from lawnmap.processing.buying.weigh_out import weigh_out
from lawnmap.schema import DO

NAMES = [column.name for column in schema.columns("loads")]
DTYPES = {column.name: column.dtype for column in schema.columns("loads")}
PEG_M = 2.0  # width of the patch that is pegged out for one can
WORDS = {"can": "can", "knapsack": "knapsack", "boom": "tank"}
LEAST_LAST = 1e-6


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
    table = weigh_out(table, {"g": own.get("scale_g", 0.0), "ml": own.get("jug_ml", 0.0)})
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
    number, last = (float(each) for each in count_loads(step["area_m2"], full.area_m2))
    last = last if last > LEAST_LAST else 0.0
    return {
        "zone_id": step["zone_id"],
        "operation": step["operation"],
        "sequence": step["sequence"],
        "product": step["product"],
        "machine": step["machine"],
        "container_l": machine.tank_l,
        "runs": 1.0,
        "full_loads": number,
        "full_product": full.product,
        "full_water_l": full.water_l,
        "full_area_m2": full.area_m2,
        "last_product": last * full.product,
        "last_water_l": last * full.water_l,
        "last_area_m2": last * full.area_m2,
        "product_unit": step["unit"],
        "rule": "",
        "flag": "",
        "remark": _words(WORDS.get(machine.kind, "load"), full, number, last, step["unit"]),
    }


def _words(container: str, full: mixing.Load, number: float, last: float, unit: str) -> str:
    """Return the line of the job sheet: what goes in, what it does, what to peg out."""
    parts = []
    if number:
        width, length = mixing.pegged(full.area_m2, PEG_M)
        parts.append(
            f"each {container}: {full.product:.4g} {unit} in {full.water_l:.4g} l does "
            f"{full.area_m2:.4g} m²: peg out {width:g} × {length:.3g} m"
        )
    if last:
        width, length = mixing.pegged(last * full.area_m2, PEG_M)
        parts.append(
            f"last {container}: {last * full.product:.4g} {unit} in {last * full.water_l:.4g} l "
            f"does {last * full.area_m2:.4g} m²: {width:g} × {length:.3g} m"
        )
    return ". ".join(parts)
