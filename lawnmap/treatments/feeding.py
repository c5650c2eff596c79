"""Feed for grass that has to close the gaps, less what lawn sand already brings."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import feeding
from lawnmap.model import Product, Specification
from lawnmap.reference import tables
from lawnmap.treatments import calibrated, row, work
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
    bladed = zones[zones["blades"].to_numpy(dtype=object) != ""]
    given = _given(bladed, specification)
    wanted = feeding.still_wanted(_target(bladed, specification), given)
    here, given, wanted = bladed[wanted > 0], given[wanted > 0], wanted[wanted > 0]
    product = card(str((specification.choice("products") or {}).get("feed") or ""), specification)
    if (here["feed_strip_from"] == STRIP_NOT_SET).any():
        name = product.name if product else UNNAMED
        rule = "not_set_feed_strip"
        return row.rows(here, "feeding", rule=rule, status=schema.NOT_SET, product=name)
    area = here["feed_area_m2"].to_numpy(dtype=float)
    names = np.full(len(here), _spreader(specification), dtype=object)
    low, high = work.hours(area, names, specification, 2)
    if product is None or not product.nitrogen_pct:
        return row.rows(
            here,
            "feeding",
            rule="feed_pricing_only",
            status=schema.PRICING,
            product=product.name if product else UNNAMED,
            area_m2=area,
            amount_low=wanted * area,
            amount=wanted * area,
            unit="g",
            nitrogen_g_m2=wanted,
            remark="grams of nitrogen, not of feed",
        )
    dose, flag = _dose(wanted, product, product.nitrogen_pct)
    set_at = calibrated.settings(names, product.name, dose, specification, flag)
    return row.rows(
        here,
        "feeding",
        rule=np.where(given > 0, "feed_counted", "feed_after").astype(object),
        product=product.name,
        machine=names,
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
        flag=set_at.flag,
        remark="half one way, half across" + set_at.remark,
    )


def _target(zones: gpd.GeoDataFrame, specification: Specification) -> npt.NDArray[np.float64]:
    """Return the nitrogen aimed at [g/m²]: chosen, else published; half of it in shade."""
    own = (specification.choice("rates") or {}).get("nitrogen_g_m2")
    if own is not None:
        return np.full(len(zones), float(own))
    shaded = zones["sun_used_h"].to_numpy(dtype=float) < tables.value("sun_vigorous_h").number
    share = np.where(shaded, tables.value("shade_feed_share").number, 1.0)
    return tables.value("feed_n_g_m2").number * share


def _given(zones: gpd.GeoDataFrame, specification: Specification) -> npt.NDArray[np.float64]:
    """Return the nitrogen of the lawn sand that goes on the same zones [g/m²]."""
    each = {
        name: nitrogen_g_m2(card(str(name), specification), specification)
        for name in set(zones["iron_product"])
    }
    # Sand on the patches leaves the rest of the zone without its nitrogen.
    whole = (zones["iron_extent"] == "whole").to_numpy()
    spread = (
        zones["iron_form"].isin(SPREAD).to_numpy() & (zones["iron_doses"].to_numpy() > 0) & whole
    )
    nitrogen = np.array([each[name] for name in zones["iron_product"]], dtype=float)
    return np.where(spread, nitrogen * zones["iron_doses"].to_numpy(dtype=float), 0.0)


def _dose(
    wanted: npt.NDArray[np.float64], product: Product, nitrogen_pct: float
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.object_]]:
    """Return feed for the nitrogen wanted [g/m²], never above the rate of the label."""
    dose = feeding.feed_rate(wanted, nitrogen_pct)
    most = label_dose(product).per_m2
    if most is None:
        flag = "the card has no rate: hold this against the label"
        return dose, np.full(len(dose), flag, dtype=object)
    capped = np.where(dose > most, "the label's rate brings less nitrogen than is wanted", "")
    return np.minimum(dose, most), capped.astype(object)


def _spreader(specification: Specification) -> str:
    named = (specification.choice("applicator") or {}).get("feed")
    return str(named) if named else work.named("drop_spreader")
