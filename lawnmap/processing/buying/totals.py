"""The step ``totals``: what is needed of each product, what to buy, and what it costs."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.logistics.packs import Purchase, purchase
from lawnmap.model import Product, Specification
from lawnmap.processing.buying.left_over import left_over
from lawnmap.schema import DO, PRICING

NAMES = [column.name for column in schema.columns("totals")]
ML_IN_M3 = 1e6
LARGE = {"g": "kg", "ml": "l"}
NOT_PROVEN = "These packs are enough; there are so many ways to buy that a cheaper one may exist."


def totals(steps: pd.DataFrame, specification: Specification) -> pd.DataFrame:
    """Return the table ``totals`` of the schema, in the order in which things are first needed.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``.
    specification : Specification
        Label cards with packs, prices and what is in the shed.
    """
    needed = steps[steps["status"].isin([DO, PRICING]) & steps["amount"].notna()]
    what = needed["product"].where(needed["product"] != "", needed["operation"])
    groups = needed.groupby([what, "status", "unit"], sort=False)
    in_shed = {name: each.stock for name, each in specification.products.items()}
    rows = []
    for (_, status, unit), group in groups:
        product = specification.products.get(group["product"].iloc[0])
        rows.append(_row(group, str(status), str(unit), product, in_shed))
    table = pd.DataFrame(rows, columns=NAMES)
    dtypes = {column.name: column.dtype for column in schema.columns("totals")}
    return left_over(table, specification).astype(dtypes)


def _row(
    group: pd.DataFrame,
    status: str,
    unit: str,
    product: Product | None,
    in_shed: dict[str, float],
) -> dict[str, Any]:
    # fsum: the same total whatever the order of the zones.
    low, amount = math.fsum(group["amount_low"].fillna(0.0)), math.fsum(group["amount"])
    name = group["product"].iloc[0]
    row = {
        "product": name,
        "operation": ", ".join(dict.fromkeys(group["operation"])),
        "status": status,
        "amount_low": low,
        "amount": amount,
        "unit": unit,
        "stock": np.nan,
        "to_buy": np.nan,
        "packs": "",
        "left_over": np.nan,
        "cost": np.nan,
        "flag": "",
        "authorisation_no": product.authorisation_no if product else "",
        "use_by": product.use_by.isoformat() if product and product.use_by else "",
    }
    if product is None:
        return row
    scale, pack_unit = (ML_IN_M3, "ml") if unit == "m³" else (1.0, unit)
    stock = min(in_shed[name] / scale, amount)
    left = in_shed[name] / scale - stock
    in_shed[name] = left * scale
    row |= {"stock": stock + left, "to_buy": amount - stock}
    packs = [each for each in product.packs if each[1] == pack_unit]
    if row["to_buy"] <= 0:
        return row | {"packs": "none", "left_over": left, "cost": 0.0}
    if not packs:
        return row
    found = purchase(row["to_buy"] * scale, [(size, price) for size, _, price in packs])
    return row | {
        "packs": _words(found, packs),
        "left_over": found.left_over / scale,
        "cost": np.nan if found.cost is None else found.cost,
        "flag": "" if found.proven else NOT_PROVEN,
    }


def _words(found: Purchase, packs: list[tuple[float, str, float | None]]) -> str:
    return " + ".join(
        f"{count} × {_size(size, unit)}"
        for count, (size, unit, _) in zip(found.counts, packs, strict=True)
        if count
    )


def _size(size: float, unit: str) -> str:
    if size >= 1000:  # noqa: PLR2004 - a thousand of the small unit
        return f"{size / 1000:g} {LARGE[unit]}"
    return f"{size:g} {unit}"
