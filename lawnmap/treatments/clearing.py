"""Clearing what the blades bring up."""

from __future__ import annotations

from typing import Any

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.agronomy import arisings
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import names, row
from lawnmap.treatments.chosen import Chosen
from lawnmap.treatments.loose import loose

TITLE = "Clearing the arisings"
KIND = "collection"

Floats = npt.NDArray[np.float64]


def hours(
    low_l: npt.NDArray[np.float64], high_l: npt.NDArray[np.float64]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Return the fewest and most hours of one person to clear some litres [h]."""
    rate = tables.value("clearing_l_h")
    return low_l / float(rate.high or np.nan), high_l / float(rate.low or np.nan)


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that is raked or scarified; clear for the high end."""
    every = Chosen(zones)
    here = every.where(~every.among("blades", "") & ~every.among("arisings", ""))
    area = here.numbers("blades_area_m2") + here.numbers("rake_area_m2")
    low, high, deep = loose(here, area)
    quick, slow = hours(low, high)
    return row.rows(
        here,
        "clearing",
        words=specification.words,
        rule=names.either(deep, "arisings_by_depth", "arisings_by_class"),
        values=("clearing_l_h", "green_waste_loose"),
        area_m2=area,
        amount_low=low,
        amount=high,
        unit="l",
        hours_low=quick,
        hours=slow,
        remark=lambda: _told(low, high, specification),
    )


def _told(low: Floats, high: Floats, specification: Specification) -> list[str]:
    bags = specification.choice("bags") or {}
    bag = bags.get("bag_l") or tables.value("sack_l").number
    bin_l = bags.get("bin_l") or tables.value("bin_l").number
    density = tables.value("green_waste_loose")
    light, heavy = arisings.mass_kg((low, high), density.low, density.high)

    def span(least: Any, most: Any) -> str:
        return f"{least:.0f} to {most:.0f}"

    barrow = tables.value("barrow_l").number
    counts = [
        arisings.containers(each, size) for size in (bag, bin_l, barrow) for each in (low, high)
    ]
    return [
        f"{span(a, b)} bags of {bag:g} l, or {span(c, d)} bins of {bin_l:g} l; {span(e, f)} barrow "
        f"runs of {barrow:g} l; {span(g, h)} kg"
        for a, b, c, d, e, f, g, h in zip(*counts, light, heavy, strict=True)
    ]
