"""The step ``iron_forms``: the label cards with iron side by side, and which of them to use.

The user's own choice stands. Else it is the cheapest that what is to hand puts down accurately,
among those that may go wherever iron is needed and have their day there as early as any other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import moss
from lawnmap.model import Machine, Product, Specification
from lawnmap.processing.buying.totals import totals
from lawnmap.processing.days.season_year import season_year
from lawnmap.processing.days.soonest import Soonest
from lawnmap.processing.days.waits import IF_NEEDED, wait
from lawnmap.processing.iron.label_card import OPERATION, SPRAYED, Card, card_of
from lawnmap.processing.iron.on_the_day import keep_off
from lawnmap.reference import tables
from lawnmap.schema import DO, NOT_ALLOWED

COLUMNS = {column.name: column.dtype for column in schema.columns("iron_forms")}
WITH_NITROGEN = "lawn sand with nitrogen"
FAR = float("inf")


def cards(specification: Specification) -> list[Card]:
    """Return every label card with iron, in the order of the depot, and what it allows here."""
    offered = {
        name
        for choices in (specification.choices, *specification.by_zone.values())
        for name in choices.get("operations", ())
    }
    found = [
        card_of(each, specification)
        for each in specification.products.values()
        if each.form in OPERATION
        and (each.authorised_for_moss or _named(specification) == each.name)
    ]
    return [
        each
        if OPERATION[each.form] in offered or each.status != DO
        else each._replace(status=NOT_ALLOWED, rule="iron_form_not_offered")
        for each in found
    ]


def with_iron(specification: Specification, name: str) -> Specification:
    """Return the choices with one label card named for iron."""
    products = {**(specification.choice("products") or {}), "iron": name}
    return replace(specification, choices={**specification.choices, "products": products})


def form_row(
    card: Card,
    zones: gpd.GeoDataFrame,
    rows: pd.DataFrame,
    specification: Specification,
    first: Mapping[str, Soonest],
) -> dict[str, Any]:
    """Return what one application with a card takes.

    Parameters
    ----------
    card : Card
    zones : GeoDataFrame
        With the columns of the step ``choose``, the card being that of the site.
    rows : DataFrame
        The steps with that iron.
    specification : Specification
        With the card named for iron.
    first : mapping of str to Soonest
        The first seasons of each zone with that iron.
    """
    product = _product(card)
    going = zones[zones["iron_status"] == DO]
    do = rows[(rows["status"] == DO) & (rows["rule"] != IF_NEEDED)]
    row = {
        **_empty(card),
        "left_out_m2": _left_out(zones),
        "late": _late(product, zones, specification),
        "first": {str(each): first[str(each)] for each in going.index if str(each) in first},
        "ground": {str(each): float(area) for each, area in going["ground_area_m2"].items()},
    }
    row["to_hand"] = row["machine"] in specification.machines
    if do.empty:
        stopped = rows[rows["status"] != DO]
        said = stopped.iloc[0] if len(stopped) else {"status": card.status, "rule": card.rule}
        return row | {"status": said["status"], "rule": said["rule"]}
    one, area = do.iloc[0], float(do["area_m2"].sum())
    bought = totals(do, specification).iloc[0]
    hours = float(do["hours"].sum())
    hour_rate = (specification.choice("money") or {}).get("hour_rate") or 0.0
    cost = float(bought["cost"]) + hours * hour_rate
    row |= {name: one[name] for name in ("dose", "dose_unit", "unit", "iron_g_m2")}
    row |= {
        "area_m2": area,
        "amount": float(do["amount"].sum()),
        "packs": bought["packs"],
        "cost": cost,
        "cost_each": cost / area if area > 0 else np.nan,
        "hours": hours,
        "water_l": float(do["water_l"].sum()) if product.form in SPRAYED else 0.0,
    }
    off, rests_on = _accuracy(row, card.machine, specification)
    return row | {"accuracy_pct": 100 * off, "accuracy_from": rests_on}


def compare(rows: Sequence[dict[str, Any]], specification: Specification) -> pd.DataFrame:
    """Return the table ``iron_forms`` of the schema with a verdict on each row.

    Parameters
    ----------
    rows : sequence of mapping
        Made by :func:`form_row`, and by :func:`stopped_row` for what is not allowed here.
    specification : Specification
        As the user has it.
    """
    named, able = _named(specification), [each for each in rows if each["status"] == DO]
    _without_a_day(able)
    best = min(able, key=_rank, default=None)
    chosen = next((each for each in able if each["product"] == named), None if named else best)
    for row in able:
        row["chosen"] = row is chosen
        row["rule"] = _verdict(row, chosen, able, named=bool(named))
    return pd.DataFrame(list(rows), columns=list(COLUMNS)).astype(COLUMNS)


def stopped_row(card: Card) -> dict[str, Any]:
    """Return the row of a card that is not allowed here: the reason, and no numbers."""
    return _empty(card)


def _without_a_day(able: Sequence[dict[str, Any]]) -> None:
    """Tell of each card the zones where it has no day in a season in which another card has one.

    That goes for iron itself, and for blades and seed that wait for it.
    """
    best: dict[str, Soonest] = {}
    for row in able:
        for zone, first in row["first"].items():
            best[zone] = min(first, best.get(zone, first))
    for row in able:
        late = {zone: each for zone, each in row["first"].items() if each > best[zone]}
        row["no_day"] = ", ".join(late)
        row["no_day_m2"] = sum(row["ground"][zone] for zone in late)
        row["by_waits"] = all(each.iron == best[zone].iron for zone, each in late.items())


def _verdict(
    row: dict[str, Any], chosen: dict[str, Any] | None, able: list[dict[str, Any]], *, named: bool
) -> str:
    """Return the rule that says why a card is used, or is not."""
    if row is chosen:
        return _why_chosen(row, able, named=named)
    least = min(each["left_out_m2"] for each in able)
    cases = [
        (row["left_out_m2"] > least, "iron_form_left_out"),
        (row["late"], "iron_form_late_nitrogen"),
        (row["no_day"], "iron_form_no_day_waits" if row["by_waits"] else "iron_form_no_day"),
        (not row["to_hand"], "iron_form_no_equipment"),
        (not _accurate(row), "iron_form_coarse"),
        (np.isnan(row["cost"]), "iron_form_no_price"),
        (chosen is not None and row["cost"] <= chosen["cost"], "iron_form_cheaper"),
    ]
    return next((rule for applies, rule in cases if applies), "iron_form_dearer")


def _why_chosen(row: dict[str, Any], able: list[dict[str, Any]], *, named: bool) -> str:
    fit = [each for each in able if _without(each) == _without(row)]
    ready = [each for each in fit if each["to_hand"] and _accurate(each)]
    cases = [
        (named and row["no_day"], "iron_form_own_no_day"),
        (named, "iron_form_own_choice"),
        (len(able) == 1, "iron_form_only"),
        (len(fit) == 1, "iron_form_fits"),
        (not _accurate(row), "iron_form_nearest"),
        (not row["to_hand"], "iron_form_get"),
        (not np.isnan([each["cost"] for each in ready]).any(), "iron_form_cheapest"),
    ]
    return next((rule for applies, rule in cases if applies), "iron_form_unpriced")


def _rank(row: dict[str, Any]) -> tuple[Any, ...]:
    """Return the order of choice: all the ground, season, equipment, accuracy, price, hours."""
    cost, hours = (FAR if np.isnan(row[name]) else row[name] for name in ("cost", "hours"))
    good = _accurate(row)
    off = 0.0 if good else row["accuracy_pct"]
    ready = bool(row["to_hand"]) and good
    return (_without(row), row["late"], not ready, not good, off, cost, hours, row["product"])


def _without(row: dict[str, Any]) -> float:
    """Return the ground that needs iron and may not take a card, or has no day for it [m²]."""
    return round(float(row["left_out_m2"] + row["no_day_m2"]), 6)


def _late(product: Product, zones: gpd.GeoDataFrame, specification: Specification) -> bool:
    """Tell whether a dry product with nitrogen comes after the season of such products."""
    year = season_year(zones, specification)
    dry = product.form not in SPRAYED and bool(product.nitrogen_pct)
    return dry and not year.in_spring() and year.day > year.last(WITH_NITROGEN, "autumn")


def _accurate(row: dict[str, Any]) -> bool:
    return bool(row["accuracy_pct"] <= 100 * tables.value("iron_accuracy_share").number)


def _accuracy(
    row: dict[str, Any], machine: Machine | None, specification: Specification
) -> tuple[float, str]:
    """Return the share of the dose by which it may be off, and what that rests on."""
    kind = machine.kind if machine is not None else ""
    catch = tables.value("rate_off_share").number
    if kind == "hand":
        return tables.value("hand_spread_off_share").number, "spread by hand"
    if kind == "spreader":
        return catch, "after a catch test"
    weighing = specification.choice("weighing") or {}
    step = weighing.get("scale_g", 1.0) if row["unit"] == "g" else weighing.get("jug_ml", 10.0)
    tank = machine.tank_l if machine is not None and machine.tank_l else row["water_l"]
    in_a_load = row["amount"]
    if row["water_l"] > 0:
        in_a_load *= min(1.0, tank / row["water_l"])
    weighed = step / in_a_load if in_a_load > 0 else FAR
    tool = "scales" if row["unit"] == "g" else "jug"
    if kind == "can":
        return weighed, f"{tool}, patches pegged out"
    return max(weighed, catch), f"{tool}, after calibration"


def _left_out(zones: gpd.GeoDataFrame) -> float:
    """Return the ground that needs iron and gets none of this card [m²]."""
    without = zones[(zones["iron_status"] != "") & (zones["iron_status"] != DO)]
    area = moss.treated_area(
        without["ground_area_m2"], without["moss_high_pct"], without["iron_extent"]
    )
    return float(area.sum())


def _empty(card: Card) -> dict[str, Any]:
    product, machine = _product(card), card.machine
    wet = product.form in SPRAYED
    iron = {"operation": OPERATION[product.form], "product": product.name}
    specification = Specification({}, products={product.name: product})
    black = tables.value("moss_black_days")
    return {name: np.nan for name, dtype in COLUMNS.items() if dtype == "float64"} | {
        "product": product.name,
        "form": product.form,
        "status": card.status,
        "dose_unit": "",
        "unit": "",
        "packs": "",
        "machine": machine.name if machine else "",
        "accuracy_from": "",
        "to_hand": False,
        "black_days": f"{black.low:g} to {black.high:g}",
        "rake_days": float(wait(iron, {"operation": "raking"}, specification)),
        "seed_days": float(wait(iron, {"operation": "overseeding"}, specification)),
        "keep_off": " ".join(keep_off(product)),
        "paving": tables.sentence("iron_paving_wet" if wet else "iron_paving_dry", {}),
        "no_day": "",
        "chosen": False,
        "rule": card.rule,
    }


def _product(card: Card) -> Product:
    if card.product is None:
        raise ValueError("a row of iron_forms is made of a label card")
    return card.product


def _named(specification: Specification) -> str:
    return str((specification.choice("products") or {}).get("iron") or "")
