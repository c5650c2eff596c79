"""The step ``left_over``: what is still on the shelf when the work is done, and how to keep it."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pandas as pd

from lawnmap.model import Product, Specification
from lawnmap.reference.tables import shown

LARGE = {"g": "kg", "ml": "l"}
THOUSAND = 1000
LEAST = 1e-6
HALF = 0.5
# Common practice, no source; the pack has the last word and is named first.
KEPT = {
    "soluble": "close the pack at once: it draws damp and cakes",
    "lawn sand": "keep it dry: it sets hard",
    "granule": "keep it dry: it cakes",
    "feed": "keep it dry: it cakes",
    "liquid": "keep it from frost and in the dark",
    "seed": "keep it cool and dry, and test what comes up before it is sown next year",
    "dressing": "cover the heap",
}
OWN_PACK = "Keep it in its own pack, locked away, as its label says"


def left_over(totals: pd.DataFrame, specification: Specification) -> pd.DataFrame:
    """Add ``shelf``: how much of a product will be left, until when, and how to keep it.

    Parameters
    ----------
    totals : DataFrame
        The table ``totals``.
    specification : Specification
        Label cards; with the day of the plan under ``today``.

    Returns
    -------
    DataFrame
        `totals` with ``shelf``; empty where nothing is left, or nothing is known of the product.
    """
    today = specification.choice("today") or dt.date.min
    notes = pd.Series("", index=totals.index, dtype=object)
    # The last row of a product is what is left when all its rows have been served.
    last = totals.dropna(subset=["left_over"]).drop_duplicates("product", keep="last")
    for place, row in zip(last.index, last.to_dict("records"), strict=True):
        product = specification.products.get(row["product"])
        if product is not None and row["left_over"] > LEAST:
            notes[place] = _note(row, product, today)
    return totals.assign(shelf=notes)


def _note(row: dict[Any, Any], product: Product, today: dt.date) -> str:
    parts = [f"{_amount(row['left_over'], row['unit'])} will be left."]
    bought = row["left_over"] + row["amount"]
    if row["packs"] not in {"", "none"} and row["left_over"] > HALF * bought:
        parts.append("That is more than half: ask for a smaller pack.")
    if product.use_by is None:
        parts.append("Its card names no last day of use: look on the pack.")
    elif product.use_by < today:
        parts.append(
            f"Its last day of use was {product.use_by}: do not use it; ask the seller or the "
            "waste site where it goes."
        )
        return " ".join(parts)
    else:
        parts.append(f"Last day of use {product.use_by}.")
    how = KEPT.get(product.form, "")
    return " ".join([*parts, f"{OWN_PACK}{'; ' if how else ''}{how}."])


def _amount(amount: float, unit: str) -> str:
    if unit in LARGE and amount >= THOUSAND:
        return f"{shown(amount / THOUSAND)} {LARGE[unit]}"
    return f"{shown(amount)} {unit}"
