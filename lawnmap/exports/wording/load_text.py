"""What goes in each can, tank or hopper, and the ground it does, as sentences to work by."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

import pandas as pd

from lawnmap.agronomy.unit_systems import METRIC, Unit, unit_for
from lawnmap.exports.wording.amounts import (
    SPACE,
    area,
    beside,
    missing,
    number,
    plain,
    quantity,
    strength,
    temperature,
    text,
)  # fmt: skip
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.switched import first, switched
from lawnmap.pages.words import known, word

LONGEST = 4  # a patch is at most this many times as long as it is wide
LEAST_PATCH_M2 = 1.0


class Load(NamedTuple):
    """The loads of one product on one zone.

    Attributes
    ----------
    zone_id, operation, product, machine : str
    full : str
        How many full loads, and what is in each; empty when there is none.
    last : str
        The part-load at the end; empty when there is none.
    flag : str
        What to look at twice: scales too coarse, or water too cold or too little.
    mix : str
        How strong the mix is, beside what water so warm dissolves, or how full a hopper is; empty
        for a liquid.
    """

    zone_id: str
    operation: str
    product: str
    machine: str
    full: str
    last: str
    flag: str = ""
    mix: str = ""


def loads(table: pd.DataFrame, units: str = METRIC) -> list[Load]:
    """Return the loads in the order of the table, those that hold anything."""
    found = [_load(row, units) for row in records(table)]
    return [load for load in found if load.full or load.last]


def pegs(area_m2: float, units: str = METRIC) -> str:
    r"""Return a patch of an area to peg out: whole metres or feet wide, at most four times as long.

    Examples
    --------
    >>> pegs(16.0), pegs(150.0)
    ('2\xa0×\xa08\xa0m', '7\xa0×\xa021.4\xa0m')
    """
    if area_m2 < LEAST_PATCH_M2:
        return ""
    unit = Unit("m", 1.0) if units == METRIC else unit_for(math.inf, "m", units)
    area = area_m2 / unit.size**2
    width = math.ceil(math.sqrt(area / LONGEST) - 1e-9)
    return SPACE.join([str(width), "×", number(area / width, 1), unit.name])


def reading(amount: float, unit: str) -> str:
    r"""Return what to read off the scales or jug, every digit of it.

    Examples
    --------
    >>> reading(12.4, "g"), reading(1250.5, "g")
    ('12.4\xa0g', '1250.5\xa0g')
    """
    return f"{number(amount, 3)}{SPACE}{unit}"


def _load(row: Mapping[str, Any], units: str) -> Load:
    machine = text(row.get("machine"))
    if _above(row, "container_l"):
        said = (quantity(float(row["container_l"]), "l", each) for each in (METRIC, first(units)))
        if not any(each in machine.replace(" ", SPACE) for each in said):  # as its name may
            holds = quantity(float(row["container_l"]), "l", units)
            machine = ", ".join(part for part in (machine, holds) if part)
    count = float(row["full_loads"]) if _above(row, "full_loads") else 0.0
    full = last = ""
    if count > 0:
        each = _contents(row, "full", units)
        full = word("load.one" if count == 1 else "load.full", count=number(count), each=each)
    if _above(row, "last_product") or _above(row, "last_water_l"):
        last = word("load.last" if count > 0 else "load.only", each=_contents(row, "last", units))
    if _above(row, "runs") and float(row["runs"]) > 1:
        runs = number(float(row["runs"]))
        lines = " ".join(part for part in (full, last) if part)
        full, last = word("load.runs", runs=runs, loads=lines), ""
    operation = known("operation", text(row.get("operation")))
    if _above(row, "sequence"):  # two applications in one zone are told apart by their steps
        operation = word("load.step", operation=operation, number=f"{row['sequence']:.0f}")
    return Load(
        text(row.get("zone_id")),
        operation,
        text(row.get("product")),
        machine,
        full,
        last,
        text(row.get("flag")),
        _mix(row, units) or _poured(row),
    )


def _poured(row: Mapping[str, Any]) -> str:
    """Return how full a hopper is, and what says what a litre weighs; loads of water have none."""
    return "" if _above(row, "full_water_l") else text(row.get("remark"))


def _mix(row: Mapping[str, Any], units: str) -> str:
    if not (_above(row, "as_salt_g_l") and _above(row, "dissolves_g_l")):
        return ""
    at = word("load.at_coldest")
    if not missing(row.get("water_c")):
        at = word("load.at_c", degrees=temperature(float(row["water_c"]), units))
    mixed, salt, most = (
        strength(float(row[name]), units)
        for name in ("concentration_g_l", "as_salt_g_l", "dissolves_g_l")
    )
    return word("load.mix", strength=mixed, salt=salt, at=at, most=most)


@switched
def _contents(row: Mapping[str, Any], which: str, units: str) -> str:
    """Return what one load holds and does: 50 g in 10 l, covers 16 m²: peg out 2 × 8 m.

    What goes in is what the scales can tell, where the plan says so; never more than was planned.
    """
    unit = text(row.get("product_unit")) or "g"
    said = ""
    if not missing(row.get(f"{which}_weigh")):
        weigh = float(row[f"{which}_weigh"])
        said = reading(weigh, unit) + beside(weigh, unit, units)
    elif _above(row, f"{which}_product"):
        product = float(row[f"{which}_product"])
        said = quantity(product, unit) + beside(product, unit, units)
    if _above(row, f"{which}_water_l"):
        water = quantity(float(row[f"{which}_water_l"]), "l", units)
        said = word("load.in_water", product=said, water=water) if said else water
    if _above(row, f"{which}_area_m2"):
        covers = float(row[f"{which}_area_m2"])
        one_run = not _above(row, "runs") or float(row["runs"]) == 1
        patch = pegs(covers, units) if one_run else ""
        ground = f"{plain(covers)}{SPACE}m²" if units == METRIC else area(covers, units=units)
        key = "load.covers_pegged" if patch else "load.covers"
        said = word(key, load=said, area=ground, patch=patch)
    return said


def _above(row: Mapping[str, Any], column: str) -> bool:
    return not missing(row.get(column)) and float(row[column]) > 0
