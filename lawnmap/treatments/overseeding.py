"""Seed for the sward as the blades leave it."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.agronomy import seeding
from lawnmap.model import Product, Specification
from lawnmap.reference import tables
from lawnmap.reference.rows import Seed
from lawnmap.treatments import row, work
from lawnmap.treatments.label_dose import card, label_dose

TITLE = "Overseeding"
KIND = "seed"

USUAL = "general_lawn"
LOOK_AGAIN = "look again after the last pass and set the rate here: ____ g/m²; two half-rate runs"


class Rates(NamedTuple):
    """Rates [g/m²] as they come from the bag, on bare ground and between, and their rule."""

    bare: float
    between: float
    rule: str


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that is sown; buy for the most bare ground expected."""
    here = sown(zones, specification)
    product = card(str((specification.choice("products") or {}).get("seed") or ""), specification)
    mixture = _mixture(specification)
    rates = _rates(product, mixture, specification)
    area = here["ground_area_m2"].to_numpy(dtype=float)
    low, high = seeding.seed_needed(
        area,
        here["bare_after_low_pct"],
        here["bare_after_high_pct"],
        bare_g_m2=rates.bare,
        thin_g_m2=rates.between,
    )
    name = _spreader(specification)
    names = np.full(len(here), name, dtype=object)
    quick, slow = work.hours(area, names, specification, 2)
    return row.rows(
        here,
        "overseeding",
        rule=rates.rule,
        values=("moss_removed_share", "moss_removed_share_most"),
        product=product.name if product else mixture.name,
        machine=names,
        passes=2.0,
        area_m2=area,
        dose=high / np.where(area > 0, area, np.nan),
        dose_unit="g/m²",
        amount_low=low,
        amount=high,
        unit="g",
        hours_low=quick,
        hours=slow,
        flag=_shaded(here),
        remark=LOOK_AGAIN,
    )


def sown(zones: gpd.GeoDataFrame, specification: Specification) -> gpd.GeoDataFrame:
    """Return the zones that are sown: bladed ground that would not close by itself."""
    wanted = np.array(
        [_wanted(str(each), specification) for each in zones.index], dtype=bool
    )  # fmt: skip
    bladed = zones["blades"].to_numpy(dtype=object) != ""
    bare = zones["bare_after_high_pct"].to_numpy(dtype=float)
    return zones[wanted & bladed & (bare > tables.value("bare_closes_pct").number)]


def _wanted(zone_id: str, specification: Specification) -> bool:
    seeding_choice = specification.choice("seeding", zone_id) or {}
    operations = specification.choice("operations", zone_id) or ()
    return bool(seeding_choice.get("wanted", True)) and "overseeding" in operations


def _mixture(specification: Specification) -> Seed:
    """Return the mixture chosen in words, else a general lawn mixture."""
    words = str((specification.choice("seeding") or {}).get("mixture") or "").lower().strip()
    named = [each for each in tables.seeds().values() if words in (each.name.lower(), each.id)]
    return named[0] if named else tables.seed(USUAL)


def _rates(product: Product | None, mixture: Seed, specification: Specification) -> Rates:
    """Return the rates: chosen for the site, else on the bag, else published.

    A rate of pure live seed becomes more from the bag; what a bag prints is already of the bag.
    """
    share = tables.value("overseed_share").number
    own = (specification.choice("seeding") or {}).get("rate_g_m2")
    printed = label_dose(product).per_m2 if product is not None else None
    if own is not None:
        of_bag = _of_bag(float(own), product)
        return Rates(of_bag, of_bag, "seed_own_rate")
    if printed is not None:
        return Rates(printed, printed * share, "seed_label_rate")
    of_bag = _of_bag(mixture.new_high_g_m2, product)
    return Rates(of_bag, of_bag * share, "seed_rate")


def _of_bag(pure_g_m2: float, product: Product | None) -> float:
    if product is None or product.purity_pct is None or product.germination_pct is None:
        return pure_g_m2
    share = seeding.pure_live_seed(product.purity_pct, product.germination_pct)
    return float(seeding.bulk(pure_g_m2, share))


def _spreader(specification: Specification) -> str:
    named = (specification.choice("applicator") or {}).get("seed")
    return str(named) if named else work.named("hand_spread")


def _shaded(zones: gpd.GeoDataFrame) -> npt.NDArray[np.object_]:
    least = tables.value("sun_vigorous_h").number
    shaded = zones["sun_hours_seen"].to_numpy(dtype=float) < least
    said = f"under {least:g} h of sun: fine-leaved fescues stand shade best"
    return np.where(shaded, said, "").astype(object)
