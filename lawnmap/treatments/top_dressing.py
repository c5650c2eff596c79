"""Dressing worked into the sward, only for a reason."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import top_dressing
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row

TITLE = "Top-dressing"
KIND = "hand"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each bladed zone, when dressing is wanted and somebody says why."""
    choice = specification.choice("top_dressing") or {}
    bladed = zones["blades"].to_numpy(dtype=object) != ""
    here = zones[bladed & bool(choice.get("wanted"))]
    if not choice.get("reason"):
        return row.rows(here, "top_dressing", rule="top_dress_off", status=schema.NOT_NEEDED)
    depth = choice.get("depth_mm") or tables.value("top_dress_mm").number
    area = here["ground_area_m2"].to_numpy(dtype=float)
    volume = top_dressing.volume_m3(area, depth)
    bought = volume * (1 + tables.value("top_dress_allowance_share").number)
    tonnes = top_dressing.mass_t(bought, tables.value("dressing").number)
    barrows = top_dressing.barrows(bought, tables.value("barrow_l").number)
    rate = tables.value("dressing_m3_h")
    return row.rows(
        here,
        "top_dressing",
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
        remark=[
            f"{choice['reason']}: about {mass:.2g} t, {number:.0f} barrows"
            for mass, number in zip(tonnes, np.asarray(barrows), strict=True)
        ],
    )
