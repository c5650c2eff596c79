"""Tracers of loads, of what is bought for the whole site, of cautions and of further tables."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd

from lawnmap import schema
from lawnmap.exports.wording.amounts import missing, quantity, span, text
from lawnmap.exports.wording.load_text import Load
from lawnmap.exports.wording.load_text import loads as load_lines
from lawnmap.exports.wording.rows import records
from lawnmap.jobs.tracing.inputs import (
    PACKS,
    RATE,
    TANK,
    Ground,
    of_card,
    of_choices,
    of_columns,
    of_machine,
    of_rule,
)
from lawnmap.jobs.tracing.traced import (
    Figure,
    Input,
    Traced,
    Value,
    of_value,
    printed,
    told,
    traced,
)
from lawnmap.pages.words import known
from lawnmap.reference import tables

Cells = dict[str, Any]
LOAD = {"full": "load_full", "last": "load_last"}
DRY = {"full": "hopper_full", "last": "hopper_last"}
AS_IRON = ("product", "form", "machine")  # as the rules that judge a card of iron name them
MIX = ("concentration_g_l", "as_salt_g_l", "dissolves_g_l", "least_water_l")
WEIGHED = ("full_weigh", "last_weigh", "short_pct")
OWN = "said by the plan itself, for what is mapped and chosen here"
# Values behind cautions that the plan makes up itself, by a word they hold.
OWN_VALUES = (
    (" points", ("hav_action_points", "hav_limit_points", "vibration_usual_m_s2")),
    ("too short", ("sow_by_uk_day",)),
    ("clearing", ("clearing_l_h",)),
)


def of_loads(ground: Ground) -> Iterator[Traced]:
    """Trace what goes in each container for the zone."""
    for row in ground.rows("loads"):
        lines = load_lines(pd.DataFrame([row]))
        known_of, generic = of_machine(text(row["machine"]), ground, TANK)
        for which, rule in (DRY if missing(row["full_water_l"]) else LOAD).items():
            if not lines or missing(row[f"{which}_area_m2"]) or not row[f"{which}_area_m2"] > 0:
                continue
            line = lines[0]
            yield traced(
                f"loads of step {row['sequence']:.0f}, {text(row['product'])}: {which}",
                rule,
                {**ground.zone, **row},
                figures=_in_load(row, which),
                sheet=line.full if which == "full" else line.last,
                inputs=[
                    *of_rule(rule, ground, row),
                    *of_columns(WEIGHED, ground, row),
                    *of_card(text(row["product"]), ground, RATE),
                    *known_of,
                    *of_choices(("weighing",), ground),
                ],
                more=generic,
                used=("weigh_short_share",),
            )
        yield from _mixed(ground, row, lines[0] if lines else None)


def _mixed(ground: Ground, row: Cells, line: Load | None) -> Iterator[Traced]:
    """Trace how strong the mix is, and what is to be looked at twice in weighing and mixing."""
    rule = text(row.get("rule")) or "load_mix"
    said = "; ".join(each for each in (line.mix, line.flag) if each) if line else ""
    if not said:
        return
    if missing(row["full_water_l"]):
        yield _held(ground, row, said)
        return
    coldest = [each for each in tables.solubility() if each.ceiling_g_l == row.get("dissolves_g_l")]
    yield traced(
        f"loads of step {row['sequence']:.0f}, {text(row['product'])}: mix",
        rule,
        {**ground.zone, **row},
        figures=[_each(row, name) for name in MIX if not missing(row.get(name))],
        sheet=said,
        inputs=[
            *of_rule(rule, ground, row),
            *of_columns((*WEIGHED, "water_c"), ground, row),
            *of_choices(("weighing",), ground),
        ],
        used=("weigh_short_share", "solubility_warn_share"),
        more=[
            Value("solubility", f"{each.ceiling_g_l:g} g/l at {each.water_c:g} °C",
                  "heptahydrate, at the next colder line of the table", each.standing,
                  told(each.source))
            for each in coldest
        ],
    )  # fmt: skip


def _held(ground: Ground, row: Cells, said: str) -> Traced:
    """Trace the density by which a hopper's litres are a weight."""
    return traced(
        f"loads of step {row['sequence']:.0f}, {text(row['product'])}: held by the hopper",
        "hopper_held",
        {**ground.zone, **row},
        sheet=said,
        inputs=[
            *of_rule("hopper_held", ground, row),
            *of_card(text(row["product"]), ground, ("bulk_kg_l",)),
        ],
    )


def _each(row: Cells, name: str) -> Figure:
    unit = "l" if name.endswith("_l") and "g_l" not in name else "g/l"
    return Figure(float(row[name]), float(row[name]), f"{unit} {name}")


def _in_load(row: Cells, which: str) -> Iterator[Figure]:
    unit = text(row["product_unit"])
    for column, of in (
        (f"{which}_loads", "loads"),
        (f"{which}_weigh", unit),
        (f"{which}_product", unit),
        (f"{which}_water_l", "l"),
        (f"{which}_area_m2", "m²"),
    ):
        if not missing(row.get(column)):
            yield Figure(float(row[column]), float(row[column]), of)


def of_totals(ground: Ground) -> Iterator[Traced]:
    """Trace what is bought for the whole site, of what this zone needs."""
    here = {(text(row["product"]), row["status"]) for row in ground.rows("steps")}
    for row in records(ground.plan.totals):
        product = text(row["product"])
        if (product, row["status"]) not in here:
            continue
        name = product or known("operation", text(row["operation"]))
        parts = ground.plan.steps[
            (ground.plan.steps["product"] == row["product"])
            & (ground.plan.steps["status"] == row["status"])
            & ground.plan.steps["amount"].notna()
            & (product != "" or ground.plan.steps["operation"] == row["operation"])
        ]
        yield traced(
            f"whole site, {name}: amount",
            "total_amount",
            row,
            figures=[_figure(row, "amount_low", "amount")],
            sheet=span(row["amount_low"], row["amount"], text(row["unit"])),
            inputs=[
                Input(
                    f"{each['zone_id']}, step {each['sequence']}",
                    f"{tables.shown(each['amount'])} {each['unit']}",
                    "worked out by the step steps",
                )
                for each in records(parts)
            ],
        )
        if text(row.get("packs")):
            yield traced(
                f"whole site, {name}: packs",
                "total_packs",
                row,
                figures=[
                    _figure(row, each, each, money=each == "cost")
                    for each in ("stock", "to_buy", "left_over", "cost")
                    if not missing(row.get(each))
                ],
                sheet="; ".join(_bought(row)),
                inputs=[
                    *of_card(product, ground, PACKS),
                    *of_choices(("money.currency",), ground),
                ],
            )


def _bought(row: Cells) -> Iterator[str]:
    """Yield what the papers print of a purchase."""
    for each in ("stock", "to_buy", "left_over"):
        if not missing(row.get(each)):
            yield quantity(float(row[each]), text(row["unit"]))
    yield from (text(row[each]) for each in ("packs", "shelf", "flag") if text(row.get(each)))


def _figure(row: Cells, low: str, high: str, *, money: bool = False) -> Figure:
    least = row[high] if missing(row.get(low)) else row[low]
    return Figure(float(least), float(row[high]), "" if money else text(row["unit"]))


def of_cautions(ground: Ground) -> Iterator[Traced]:
    """Trace each caution to the table of cautions, to a label card, or to the plan itself."""
    by_sentence = {each.sentence: each for each in tables.cautions()}
    for said in ground.plan.cautions:
        found = by_sentence.get(said)
        if found is not None:
            where = f"table of cautions, {found.id}, for {found.applies_to}"
            cited = (told(found.source),) if found.source else ()
            yield _caution(said, where, found.standing, cited)
            continue
        card = next((n for n in ground.plan.specification.products if said.startswith(n)), "")
        standing = "label" if card else "common practice, no source"
        used = [] if card else [id_ for mark, ids in OWN_VALUES if mark in said for id_ in ids]
        values = tuple(of_value(tables.value(each)) for each in used)
        yield _caution(said, f"label card, {card}" if card else OWN, standing, (), values)


def _caution(
    said: str,
    where: str,
    standing: str,
    cited: tuple[str, ...],
    values: tuple[Value, ...] = (),
) -> Traced:
    how = f"{where[:1].upper()}{where[1:]}."
    return Traced("caution", (), printed(said), "", how, standing, (), values, cited)


def of_tables(ground: Ground) -> Iterator[Traced]:
    """Trace every row of the plan's further tables, by its rule or else its remark.

    A table with the column ``zone_id`` is traced for this zone only, all others for the site. Pass
    lines stand at their steps.
    """
    for name, found in ground.plan.tables.items():
        if name == "passes":
            continue
        units = {each.name: each.unit for each in schema.columns(name)}
        for row in records(found):
            if text(row.get("zone_id")) not in ("", ground.zone_id):
                continue
            figures = tuple(_all_figures(row, units))
            said = "; ".join(text(cell) for cell in row.values() if isinstance(cell, str) and cell)
            what = f"{name.replace('_', ' ')}: {_first(row)}"
            rule, product = text(row.get("rule")), text(row.get("product") or row.get("what"))
            if rule:
                laid = {**row, **{f"iron_{name}": row.get(name) for name in AS_IRON}}
                inputs = [*of_rule(rule, ground, row), *of_card(product, ground, RATE + PACKS)]
                yield traced(what, rule, laid, figures=figures, sheet=said, inputs=inputs)
            elif figures:
                given = tuple(of_card(product, ground, PACKS))
                how = text(row.get("remark")) or f"Table {name}, from the steps and the depot."
                yield Traced(what, figures, said, "", how, "", given, (), ())


def _all_figures(row: Cells, units: dict[str, str]) -> Iterator[Figure]:
    """Yield every number of a row with its unit and name; a lowest goes with its highest."""
    for column, unit in units.items():
        cell: Any = row.get(column)
        if column.endswith("_low") or isinstance(cell, str) or missing(cell):
            continue
        low = row[f"{column}_low"] if not missing(row.get(f"{column}_low")) else cell
        named = f"{text(row.get(unit)) or unit} {column.replace('_', ' ')}".strip()
        yield Figure(float(low), float(cell), named)


def _first(row: Cells) -> str:
    return next((text(cell) for cell in row.values() if isinstance(cell, str) and cell), "")
