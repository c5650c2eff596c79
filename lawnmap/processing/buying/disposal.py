"""Where the arisings go: how much there is, what it weighs, and in how many loads or bins."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

import pandas as pd

from lawnmap.agronomy import arisings
from lawnmap.logistics.costing import binned, carried
from lawnmap.model import Specification
from lawnmap.reference import tables

# What comes off, and the bulk density of it in the reference tables.
DENSITY = {"clearing": "green_waste_loose", "aerating": "cores"}
ROUTES = {
    "on site": "a heap on site, not beside water or a drain; ask whether treated moss may rot",
    "bins": "the client's bins; ask whether treated moss may go in them",
    "tip": "to a trade tip; carrying it may need a licence and a note: check your local list",
    "skip": "in skips; say that the moss was treated",
}
NO_ROUTE = "no route chosen (disposal.route): on site, bins, tip or skip"
NO_LOAD = "what a load may hold is not given (disposal.load_l, disposal.load_kg)"
NOT_COUNTED = "clippings are not counted"
LITRES_IN_M3 = 1000
KILOGRAMS_IN_T = 1000


class Arisings(NamedTuple):
    """Litres and kilograms, each as least and most."""

    litres: tuple[float, float]
    kilograms: tuple[float, float]


def disposal(live: pd.DataFrame, specification: Specification) -> list[dict[str, Any]]:
    """Return the row of the table ``costs`` for what has to go; none when nothing does.

    Parameters
    ----------
    live : DataFrame
        Steps that are to be done.
    specification : Specification
        Under ``disposal`` the route and what a load may hold, under ``bags`` the size of a bin.
    """
    found = _sum(live)
    if not found.litres[1] > 0:
        return []
    own = specification.choice("disposal") or {}
    route = own.get("route") or ""
    row: dict[str, Any] = {
        "part": "disposal",
        "what": "arisings" + (f": {route}" if route else ""),
        "remark": f"{_words(found)}; {NOT_COUNTED}; {ROUTES.get(route, NO_ROUTE)}",
    }
    if route == "bins":
        return [row | _bins(found, own, specification) | _free()]
    if route == "on site":
        return [row | _free()]
    return [row | _loads(found, own, row["remark"])] if route else [row]


def _sum(live: pd.DataFrame) -> Arisings:
    """Return all that comes off, priced for the high end as what people tell differs so much."""
    litres, kilograms = [0.0, 0.0], [0.0, 0.0]
    for operation, density in DENSITY.items():
        here = live[(live["operation"] == operation) & (live["unit"] == "l")]
        high = math.fsum(here["amount"].fillna(0.0))
        low = math.fsum(here["amount_low"].fillna(here["amount"]).fillna(0.0))
        value = tables.value(density)
        masses = arisings.mass_kg((low, high), value.low, value.high)  # type: ignore[arg-type]
        litres = [litres[0] + low, litres[1] + high]
        kilograms = [kilograms[0] + float(masses[0]), kilograms[1] + float(masses[1])]
    return Arisings((litres[0], litres[1]), (kilograms[0], kilograms[1]))


def _words(found: Arisings) -> str:
    litres, kilograms = found
    volume = [f"{each / LITRES_IN_M3:.1f}" for each in litres]
    mass = [f"{each / KILOGRAMS_IN_T:.1f}" for each in kilograms]
    return f"{volume[0]} to {volume[1]} m³, {mass[0]} to {mass[1]} t, cores included"


def _free() -> dict[str, Any]:
    """Return what a route without a fee costs beside the work: nothing."""
    return {"cost_low": 0.0, "cost": 0.0}


def _bins(found: Arisings, own: Mapping[str, Any], specification: Specification) -> dict[str, Any]:
    bin_l = (specification.choice("bags") or {}).get("bin_l") or tables.value("bin_l").number
    count, weeks = own.get("bins") or 1, own.get("bin_weeks") or 2
    low, high = (binned(each, bin_l, bins=count, weeks=weeks) for each in found.litres)
    bins = "1 bin" if count == 1 else f"{count} bins"
    told = f"{bins} of {bin_l:g} l emptied every {weeks} weeks: {low.weeks} to {high.weeks} weeks"
    return {
        "number_low": float(low.fillings),
        "number": float(high.fillings),
        "number_unit": "bins",
        "remark": f"{told}; {_words(found)}; {NOT_COUNTED}; {ROUTES['bins']}",
    }


def _loads(found: Arisings, own: Mapping[str, Any], remark: str) -> dict[str, Any]:
    volume, payload = own.get("load_l"), own.get("load_kg")
    if volume is None and payload is None:
        return {"remark": f"{NO_LOAD}; {remark}"}
    low, high = (
        carried(litres, kilograms, volume_l=volume, payload_kg=payload)
        for litres, kilograms in zip(found.litres, found.kilograms, strict=True)
    )
    row: dict[str, Any] = {
        "number_low": float(low.loads),
        "number": float(high.loads),
        "number_unit": "loads",
        "remark": f"full by {high.full_by} first; {remark}",
    }
    price = own.get("price_a_load")
    if price is None:
        return row
    return row | {"price": price, "cost_low": low.loads * price, "cost": high.loads * price}
