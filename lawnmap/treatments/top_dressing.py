"""Dressing worked into the sward, only for a reason."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import top_dressing
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row
from lawnmap.treatments.chosen import Chosen

TITLE = "Top-dressing"
KIND = "hand"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each bladed zone, when dressing is wanted and somebody says why."""
    choice = specification.choice("top_dressing") or {}
    every, words = Chosen(zones), specification.words
    here = every.where(~every.among("blades", "") & bool(choice.get("wanted")))
    if not choice.get("reason"):
        rule, status = "top_dress_off", schema.NOT_NEEDED
        return row.rows(here, "top_dressing", words=words, rule=rule, status=status)
    depth = choice.get("depth_mm") or tables.value("top_dress_mm").number
    area = here.numbers("ground_area_m2")
    volume = top_dressing.volume_m3(area, depth)
    bought = volume * (1 + tables.value("top_dress_allowance_share").number)
    rate = tables.value("dressing_m3_h")
    return row.rows(
        here,
        "top_dressing",
        words=words,
        rule="top_dress",
        values=("dressing", "barrow_l", "dressing_m3_h"),
        product=(specification.choice("products") or {}).get("dressing") or "dressing",
        machine=(specification.choice("applicator") or {}).get("dressing") or "",
        area_m2=area,
        dose=float(depth),
        dose_unit="l/m²",
        amount_low=volume,
        amount=bought,
        unit="m³",
        hours_low=volume / rate.high,
        hours=bought / rate.low,
        remark=lambda: _told(bought, choice["reason"]),
    )


def _told(bought_m3: npt.NDArray[np.float64], reason: str) -> list[str]:
    tonnes = top_dressing.mass_t(bought_m3, tables.value("dressing").number)
    barrows = top_dressing.barrows(bought_m3, tables.value("barrow_l").number)
    return [
        f"{reason}: about {mass:.2g} t, {number:.0f} barrows"
        for mass, number in zip(tonnes, barrows, strict=True)
    ]
