"""The step ``loads``: what goes into each can, knapsack or tank, and how far it goes."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import iron, mixing
from lawnmap.logistics.loads import loads as count_loads
from lawnmap.model import Specification
from lawnmap.processing import machines
from lawnmap.reference import tables
from lawnmap.schema import DO

NAMES = [column.name for column in schema.columns("loads")]
DTYPES = {column.name: column.dtype for column in schema.columns("loads")}
HYDRATE = "FeSO4·7H2O"
PEG_M = 2.0  # width of the patch that is pegged out for one can
WORDS = {"can": "can", "knapsack": "knapsack", "boom": "tank"}
RULE = {"near the limit": "mix_near_limit", "will not dissolve": "mix_too_strong"}
LEAST_LAST = 1e-6


def loads(steps: pd.DataFrame, specification: Specification) -> pd.DataFrame:
    """Return the table ``loads`` of the schema, for applications in water that may be made.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``.
    specification : Specification
        Machines; one without a tank has no loads.
    """
    wet = steps[(steps["status"] == DO) & (steps["kind"] == "spray") & (steps["water_l"] > 0)]
    rows = [_load(row, specification) for row in wet.to_dict("records")]
    return pd.DataFrame([row for row in rows if row], columns=NAMES).astype(DTYPES)


def _load(step: dict[Any, Any], specification: Specification) -> dict[str, Any]:
    machine = machines.named(step["machine"], specification)
    if machine is None or not machine.tank_l:
        return {}
    water_l_m2 = step["water_l"] / step["area_m2"]
    full = mixing.container_load(machine.tank_l, step["dose"], water_l_m2)
    number, last = (float(each) for each in count_loads(step["area_m2"], full.area_m2))
    last = last if last > LEAST_LAST else 0.0
    row = {
        "zone_id": step["zone_id"],
        "operation": step["operation"],
        "sequence": step["sequence"],
        "product": step["product"],
        "machine": step["machine"],
        "container_l": machine.tank_l,
        "full_loads": number,
        "full_product": full.product,
        "full_water_l": full.water_l,
        "full_area_m2": full.area_m2,
        "last_product": last * full.product,
        "last_water_l": last * full.water_l,
        "last_area_m2": last * full.area_m2,
        "product_unit": step["unit"],
        "concentration_g_l": np.nan,
        "rule": "",
        "flag": "",
        "remark": _words(WORDS.get(machine.kind, "load"), full, number, last, step["unit"]),
    }
    return row | (_dissolving(step, water_l_m2) if step["unit"] == "g" else {})


def _dissolving(step: dict[Any, Any], water_l_m2: float) -> dict[str, Any]:
    """Return the concentration, and a warning when cold water would not dissolve it.

    Held as heptahydrate of the same iron against the coldest water of the table.
    """
    strength = float(mixing.concentration(step["dose"], water_l_m2))
    salt = iron.fraction("Fe", tables.salt(HYDRATE).atoms, tables.atomic_weights())
    as_salt = float(mixing.concentration(step["iron_g_m2"] / salt, water_l_m2))
    as_salt = strength if np.isnan(as_salt) else as_salt
    table = tables.solubility()
    most = mixing.ceiling(
        np.nan, [each.water_c for each in table], [each.ceiling_g_l for each in table]
    )
    warn = tables.value("solubility_warn_share").number
    rule = RULE.get(str(mixing.dissolving(as_salt, most, warn)), "")
    found: dict[str, Any] = {"concentration_g_l": strength, "rule": rule}
    return found | {"flag": tables.sentence(rule, found) if rule else ""}


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
