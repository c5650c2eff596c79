"""The step ``on_the_day``: what must hold on the day, and when the ground opens again, to tick.

Weather gates come from the tables. For iron the label adds its hours without rain, its limit for
new turf and its condition for keeping off, which for grains is never only that they are dry.
"""

from __future__ import annotations

from typing import Any

import pandas as pd

from lawnmap.model import Product, Specification
from lawnmap.processing.days.gates import gates
from lawnmap.processing.days.waits import ROLE
from lawnmap.processing.iron.label_card import SPRAYED
from lawnmap.reference import tables
from lawnmap.schema import BETWEEN, DO


def on_the_day(steps: pd.DataFrame, specification: Specification) -> pd.DataFrame:
    """Fill the columns ``gates`` and ``keep_off`` of the steps that are to be done.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``.
    specification : Specification
        Label cards.

    Returns
    -------
    DataFrame
    """
    found = [
        BETWEEN.join(_line(each) for each in _gates(row, specification))
        if row["status"] == DO
        else ""
        for row in steps[["operation", "status", "product"]].to_dict("records")
    ]
    shut = [
        BETWEEN.join(_line(each) for each in _shut(row, specification))
        if row["status"] == DO
        else ""
        for row in steps[["operation", "status", "product"]].to_dict("records")
    ]
    return steps.assign(
        gates=pd.Series(found, index=steps.index, dtype=object),
        keep_off=pd.Series(shut, index=steps.index, dtype=object),
    )


def keep_off(product: Product) -> tuple[str, ...]:
    """Return the condition until which everybody keeps off what a product was put on."""
    printed = (product.keep_off,) if product.keep_off else ()
    if product.form in SPRAYED:
        return printed or (tables.sentence("keep_off_wet", {}),)
    return (*printed, tables.sentence("keep_off_granules", {}))


def _shut(row: dict[Any, Any], specification: Specification) -> tuple[str, ...]:
    """Return until when everybody keeps off ground where a step was done."""
    product = specification.products.get(row["product"])
    role = ROLE.get(row["operation"])
    if role == "iron" and product is not None:
        return keep_off(product)
    printed = (product.keep_off,) if product is not None and product.keep_off else ()
    return (*printed, tables.sentence("keep_off_seed", {})) if role == "seed" else printed


def _gates(row: dict[Any, Any], specification: Specification) -> tuple[str, ...]:
    usual = gates(row["operation"])
    product = specification.products.get(row["product"])
    if ROLE.get(row["operation"]) != "iron" or product is None:
        return usual
    rain = "" if product.rainfast_h is None else f"No rain for {product.rainfast_h:g} h (label)."
    new_turf = tables.sentence("gate_new_turf", {})
    return tuple(each for each in (*usual, rain, new_turf, *keep_off(product)) if each)


def _line(text: str) -> str:
    """Return a text that does not part a list of lines."""
    return text.strip().rstrip(".").replace(";", ",")
