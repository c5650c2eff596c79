"""Seed for the sward as the blades leave it."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.agronomy import seeding
from lawnmap.model import Product, Specification
from lawnmap.reference import tables
from lawnmap.treatments import calibrated, names, row, work
from lawnmap.treatments.chosen import Chosen
from lawnmap.treatments.label_dose import card, label_dose

TITLE = "Overseeding"
KIND = "seed"

DRY = "a water ban is on: seed dries out unless it is watered by can, so sow when it is lifted"
LOOK_AGAIN = "look again after the last pass and set the rate here: ____ g/m²; two half-rate runs"

Floats = npt.NDArray[np.float64]


class Rates(NamedTuple):
    """Rates [g/m²] as they come from the bag, on bare ground and between, and their rule."""

    bare: Floats
    between: Floats
    rule: str


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that is sown; buy for the most bare ground expected."""
    here, words = sown(zones, specification), specification.words
    product = card(str((specification.choice("products") or {}).get("seed") or ""), specification)
    rates = _rates(here, product, specification)
    area = here.numbers("seed_area_m2")
    low, high = seeding.seed_needed(
        area,
        here.numbers("bare_after_low_pct"),
        here.numbers("bare_after_high_pct"),
        bare_g_m2=rates.bare,
        thin_g_m2=rates.between,
    )
    name = _spreader(specification)
    quick, slow = work.hours(area, name, specification, 2)
    dose = high / np.where(area > 0, area, np.nan)

    @cache
    def set_at() -> calibrated.Setting:
        called, flag = product.name if product else "", _flags(here, product, specification)
        each = names.spelled(name, len(here))
        return calibrated.settings(each, called, dose, specification, flag)

    return row.rows(
        here,
        "overseeding",
        words=words,
        rule=rates.rule,
        values=("moss_removed_share", "moss_removed_share_most"),
        product=product.name if product else here.names("seed_mixture"),
        machine=name,
        passes=2.0,
        area_m2=area,
        dose=dose,
        dose_unit="g/m²",
        amount_low=low,
        amount=high,
        unit="g",
        hours_low=quick,
        hours=slow,
        flag=lambda: set_at().flag,
        remark=lambda: np.array(_remarks(here, product), dtype=object) + set_at().remark,
    )


def sown(zones: gpd.GeoDataFrame, specification: Specification) -> Chosen:
    """Return the zones that are sown: bladed ground that would not close by itself."""
    every = Chosen(zones)
    return every.where(sows(every, specification))


def sows(zones: Chosen, specification: Specification) -> npt.NDArray[np.bool_]:
    """Tell which zones are sown."""
    wanted = zones.agree(specification, lambda each: _wanted(each, specification))
    bare = zones.numbers("bare_after_high_pct") > tables.value("bare_closes_pct").number
    return wanted & bare & ~zones.among("blades", "")


def _wanted(zone_id: str, specification: Specification) -> bool:
    seeding_choice = specification.choice("seeding", zone_id) or {}
    operations = specification.choice("operations", zone_id) or ()
    wanted = bool(seeding_choice.get("wanted", True)) and "overseeding" in operations
    return wanted and specification.choice("postponed") != "seed"


def _rates(zones: Chosen, product: Product | None, specification: Specification) -> Rates:
    """Return the rates: chosen for the site, else on the bag, else published for the grasses.

    A rate of pure live seed becomes more from the bag; what a bag prints is already of the bag.
    """
    share = tables.value("overseed_share").number
    own = (specification.choice("seeding") or {}).get("rate_g_m2")
    printed = label_dose(product).per_m2 if product is not None else None
    if own is not None:
        of_bag = np.full(len(zones), _of_bag(float(own), product))
        return Rates(of_bag, of_bag, "seed_own_rate")
    if printed is not None:
        of_bag = np.full(len(zones), printed)
        return Rates(of_bag, of_bag * share, "seed_label_rate")
    published = {each.name: each.new_high_g_m2 for each in tables.seeds().values()} | {"": np.nan}
    of_bag = names.figures(
        zones.names("seed_mixture"), lambda each: _of_bag(published[each], product)
    )
    return Rates(of_bag, of_bag * share, "seed_rate")


def _of_bag(pure_g_m2: float, product: Product | None) -> float:
    if product is None or product.purity_pct is None or product.germination_pct is None:
        return pure_g_m2
    share = seeding.pure_live_seed(product.purity_pct, product.germination_pct)
    return float(seeding.bulk(pure_g_m2, share))


def _spreader(specification: Specification) -> str:
    named = (specification.choice("applicator") or {}).get("seed")
    return str(named) if named else work.named("hand_spread")


def _remarks(zones: Chosen, product: Product | None) -> list[str]:
    """Return why these grasses, or which the place asks for when a bag was named; then the rate."""
    found = []
    for zone in zones.records:
        why = tables.sentence(str(zone["seed_rule"]), zone).rstrip(".")
        if product is not None:
            asks = zone["seed_rule"] not in ("seed_usual", "seed_chosen")
            why = f"the place asks for {zone['seed_mixture']}" if asks else ""
        found.append("; ".join(part for part in (why, LOOK_AGAIN) if part))
    return found


def _flags(zones: Chosen, product: Product | None, specification: Specification) -> list[str]:
    """Return what to look at twice: grasses that the place may be too dark for, and a ban."""
    least = tables.value("sun_vigorous_h").number
    dark = zones.numbers("sun_used_h") < least
    asked = zones.among("seed_rule", "seed_chosen") | (product is not None)
    fescues = f"under {least:g} h of sun: fine-leaved fescues stand shade best"
    ban = DRY if specification.choice("water_ban") else ""
    return [
        "; ".join(part for part in (fescues if doubtful else "", ban) if part)
        for doubtful in dark & asked
    ]
