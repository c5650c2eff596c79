"""Where what goes into a number came from: the site, its choices, a card or a published table."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from lawnmap import schema
from lawnmap.exports.wording.amounts import missing
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.why import over
from lawnmap.jobs.tracing.traced import Input, Value, told
from lawnmap.model import Plan
from lawnmap.reference import tables
from lawnmap.reference.rows import GenericMachine

MEASURED = (
    "moss_cover_pct",
    "thatch_mm",
    "moss_depth_mm",
    "cut_height_mm",
    "soil_ph",
    "outline_sigma_m",
)
DEPOT = ("packs", "stock")  # of a label card: not printed on the label
# Lines of a label card, and of a machine's, by what they are asked for.
RATE = (
    "rate_printed",
    "rate_typed_again",
    "rate_g_m2",
    "rate_ml_m2",
    "water_l_m2",
    "water_low_l_m2",
    "water_high_l_m2",
)
CONTENT = (
    "form",
    "analysis_pct",
    "analysis_as",
    "analysis_basis",
    "density_kg_l",
    "nitrogen_pct",
    "purity_pct",
    "germination_pct",
    "authorised_for_moss",
    "authorisation_no",
    "most_doses_a_year",
)
PACKS = ("packs", "stock", "use_by")
SPEED = (
    "width_m",
    "speed_km_h",
    "field_efficiency",
    "efficiency_low",
    "efficiency_high",
    "area_m2_h",
    "area_low_m2_h",
    "area_high_m2_h",
    "box_l",
    "vibration_m_s2",
    "yield_share",
)
TANK = ("tank_l", "water_l_m2")
PLACE = ("kind", "width_m", "overall_width_m", "weight_kg", "most_slope_deg", "count")
UNITS = ("unit", "dose_unit", "product_unit")  # stand behind their numbers
CHOSEN = {
    "product": "specification and depot",
    "iron_product": "specification and depot",
    "machine": "specification and depot",
    "blades": "chosen from what is to hand",
}


class Ground(NamedTuple):
    """One zone of a plan, and what every tracer needs to look up in it."""

    plan: Plan
    zone_id: str
    zone: Mapping[str, Any]

    def rows(self, table: str) -> list[dict[str, Any]]:
        """Return the rows of a table of the plan that are of this zone; none of one it lacks."""
        own = {"steps": self.plan.steps, "loads": self.plan.loads}
        found = own.get(table, self.plan.tables.get(table))
        return [] if found is None else records(found[found["zone_id"] == self.zone_id])


def of_rule(rule_id: str, ground: Ground, row: Mapping[str, Any]) -> Iterator[Input]:
    """Yield what a rule was given for a row, the zone's own columns filling what it lacks."""
    if rule_id not in tables.rules():
        return
    yield from of_columns(tables.rule(rule_id).inputs, ground, row)


def of_columns(
    names: tuple[str, ...] | list[str], ground: Ground, row: Mapping[str, Any]
) -> Iterator[Input]:
    """Yield columns of a row or its zone, those that hold anything."""
    laid = over(ground.zone, row)
    for name in names:
        if not missing(laid.get(name)) and name not in UNITS:
            column = _column(name, row)
            yield Input(name, with_unit(column, laid, name), origin(name, ground, laid, column))


def origin(name: str, ground: Ground, row: Mapping[str, Any], column: schema.Column | None) -> str:
    """Return where the value of a column came from, in words."""
    if name in CHOSEN:
        return CHOSEN[name]
    if name == "sun_used_h":  # a fact, or what lawnmap sun found
        seen = row.get("sun_source") == "seen"
        return "seen; in the site file" if seen else "worked out by lawnmap sun"
    if name == "dose" and row.get("product") in ground.plan.specification.products:
        return f"label card, {row['product']}"
    if column is None:
        return "worked out"
    if column.step:
        return f"worked out in step {column.step}"
    if name.endswith("_rating"):
        return "rated; in the site file"
    return "measured; in the site file" if name in MEASURED else "seen; in the site file"


def with_unit(column: schema.Column | None, row: Mapping[str, Any], name: str) -> str:
    """Return a cell with its unit, which may stand in another column of the row."""
    unit = column.unit if column is not None else ""
    unit = str(row.get(unit) or "") if unit in UNITS else unit
    value = row[name]
    said = value if isinstance(value, str) else tables.shown(value)
    return said if unit in ("", "class", "count") or unit == said else f"{said} {unit}"


def of_card(name: str, ground: Ground, lines: tuple[str, ...]) -> Iterator[Input]:
    """Yield what some lines of the label card of a product say."""
    product = ground.plan.specification.products.get(name)
    for each in lines if product is not None else ():
        value = getattr(product, each)
        if value not in ("", (), 0.0, False) and not missing(value):
            where = "depot" if each in DEPOT else "label card"
            yield Input(each, _said(value), f"{where}, {name}")


def of_machine(
    name: str, ground: Ground, lines: tuple[str, ...]
) -> tuple[list[Input], list[Value]]:
    """Return some figures of a machine: those of its own card, and those of its kind."""
    own = ground.plan.specification.machines.get(name)
    found = [
        Input(each, _said(value), f"depot, {name}")
        for each in lines
        for value in [getattr(own, each, None)]
        if not missing(value)
    ]
    kinds = list(tables.machines().values())
    generic = next((each for each in kinds if each.name == name), None) or next(
        (each for each in kinds if own is not None and each.kind == own.kind), None
    )
    return found, [] if generic is None else _of_kind(generic, lines)


def _of_kind(machine: GenericMachine, lines: tuple[str, ...]) -> list[Value]:
    figures = {each: getattr(machine, each, None) for each in lines if each != "kind"}
    said = ", ".join(f"{key} {_said(each)}" for key, each in figures.items() if each is not None)
    condition = f"any {machine.name}, where its own card is silent"
    source = told(machine.source)
    return [Value(machine.id, said, condition, machine.standing, source)] if said else []


def of_choices(keys: tuple[str, ...], ground: Ground) -> Iterator[Input]:
    """Yield choices of the specification by their dotted keys, those that are set."""
    for key in keys:
        name, _, inside = key.partition(".")
        value = ground.plan.specification.choice(name, ground.zone_id)
        if inside:
            value = (value or {}).get(inside)
        said = "" if value is None else _said(value)
        if said:
            yield Input(key, said, "specification")


def _said(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str | dt.date):
        return str(value)
    if isinstance(value, tuple | list):
        return "; ".join(
            " ".join(_said(part) for part in each if part is not None)
            if isinstance(each, tuple)
            else _said(each)
            for each in value
        )
    if isinstance(value, Mapping):
        pairs = ((key, "" if each is None else _said(each)) for key, each in value.items())
        return "; ".join(f"{key} {said}" for key, said in pairs if said)
    return f"{value:,.10g}"


def _column(name: str, row: Mapping[str, Any]) -> schema.Column | None:
    """Return what a name means: in a row of steps or loads first, else in its zone."""
    own = ("steps", "loads")
    order = ("zones", *own) if missing(row.get(name)) else (*own, "zones")
    return next((_COLUMNS[each, name] for each in order if (each, name) in _COLUMNS), None)


_COLUMNS = {(each.table, each.name): each for each in schema.COLUMNS}
