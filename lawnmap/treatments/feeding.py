"""Feed for grass that has to close the gaps, less what lawn sand already brings."""

from __future__ import annotations

from functools import cache
from typing import Any

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import feeding
from lawnmap.model import Product, Specification
from lawnmap.reference import tables
from lawnmap.treatments import calibrated, names, row, work
from lawnmap.treatments.chosen import Chosen
from lawnmap.treatments.iron_rows import SPREAD, nitrogen_g_m2
from lawnmap.treatments.label_dose import card, label_dose

TITLE = "Feeding"
KIND = "granules"

UNNAMED = "nitrogen in feed"
STRIP_NOT_SET = "not set"  # what the step ``strips`` says of a width that nobody gave


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each bladed zone that still wants nitrogen.

    Where the strip along water or drains is needed and nobody has set it, nothing is applied.
    """
    every, words = Chosen(zones), specification.words
    bladed = every.where(~every.among("blades", ""))
    target, given = _target(bladed, specification), _given(bladed, specification)
    needy = feeding.still_wanted(target, given) > 0
    unset = bladed.among("feed_strip_from", STRIP_NOT_SET)
    product = card(str((specification.choice("products") or {}).get("feed") or ""), specification)
    fed = _fed(bladed.where(needy & ~unset), product, specification)
    if not unset.any():
        return fed
    stopped = row.rows(
        bladed.where(needy & unset),
        "feeding",
        words=words,
        rule="not_set_feed_strip",
        status=schema.NOT_SET,
        product=product.name if product else UNNAMED,
    )
    return row.joined([stopped, fed], words=words)


def _fed(zones: Chosen, product: Product | None, specification: Specification) -> pd.DataFrame:
    """Return the rows of the zones that want nitrogen."""
    given, area = _given(zones, specification), zones.numbers("feed_area_m2")
    wanted = feeding.still_wanted(_target(zones, specification), given)
    if product is None or not product.nitrogen_pct:
        return row.rows(
            zones,
            "feeding",
            words=specification.words,
            rule="feed_pricing_only",
            status=schema.PRICING,
            product=product.name if product else UNNAMED,
            area_m2=area,
            amount_low=wanted * area,
            amount=wanted * area,
            unit="g",
            nitrogen_g_m2=wanted,
            remark=lambda: "grams of nitrogen, not of feed",
        )
    spreader, most = _spreader(specification), label_dose(product).per_m2
    low, high = work.hours(area, spreader, specification, 2)
    full = feeding.feed_rate(wanted, product.nitrogen_pct)
    dose = full if most is None else np.minimum(full, most)

    @cache
    def set_at() -> calibrated.Setting:
        each, flag = names.spelled(spreader, len(zones)), _flags(full, most)
        return calibrated.settings(each, product.name, dose, specification, flag)

    return row.rows(
        zones,
        "feeding",
        words=specification.words,
        rule=names.either(given > 0, "feed_counted", "feed_after"),
        product=product.name,
        machine=spreader,
        passes=2.0,
        area_m2=area,
        dose=dose,
        dose_unit="g/m²",
        amount_low=dose * area,
        amount=dose * area,
        unit="g",
        nitrogen_g_m2=feeding.nitrogen(dose, product.nitrogen_pct),
        hours_low=low,
        hours=high,
        flag=lambda: set_at().flag,
        remark=lambda: "half one way, half across" + set_at().remark,
    )


def _target(zones: Chosen, specification: Specification) -> npt.NDArray[np.float64]:
    """Return the nitrogen aimed at [g/m²]: chosen, else published; half of it in shade."""
    own = (specification.choice("rates") or {}).get("nitrogen_g_m2")
    if own is not None:
        return np.full(len(zones), float(own))
    shaded = zones.numbers("sun_used_h") < tables.value("sun_vigorous_h").number
    share = np.where(shaded, tables.value("shade_feed_share").number, 1.0)
    return tables.value("feed_n_g_m2").number * share


def _given(zones: Chosen, specification: Specification) -> npt.NDArray[np.float64]:
    """Return the nitrogen of the lawn sand that goes on the same zones [g/m²]."""
    doses = zones.numbers("iron_doses")
    # Sand on the patches leaves the rest of the zone without its nitrogen.
    spread = zones.among("iron_form", *SPREAD) & (doses > 0) & zones.among("iron_extent", "whole")
    if not spread.any():
        return np.zeros(len(zones))
    nitrogen = names.figures(
        zones.names("iron_product"),
        lambda each: nitrogen_g_m2(card(each, specification), specification),
    )
    return np.where(spread, nitrogen * doses, 0.0)


def _flags(dose: npt.NDArray[np.float64], most: float | None) -> npt.NDArray[Any] | str:
    """Say what keeps feed from the dose that is wanted: never above the rate of the label."""
    if most is None:
        return "the card has no rate: hold this against the label"
    return np.where(dose > most, "the label's rate brings less nitrogen than is wanted", "")


def _spreader(specification: Specification) -> str:
    named = (specification.choice("applicator") or {}).get("feed")
    return str(named) if named else work.named("drop_spreader")
