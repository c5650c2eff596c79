"""Brushing: a stiff brush lifts the grass and breaks worm casts before it is mown."""

from __future__ import annotations

from importlib.resources import files

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row

TITLE = "Brushing"
KIND = "hand"
REFERENCE = files("lawnmap_meadow") / "reference"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone: once over the whole of it with the brush."""
    area = zones["ground_area_m2"].to_numpy(dtype=float)
    rate = tables.value("brushing_m2_h")
    return row.rows(
        zones,
        "brushing",
        words=specification.words,
        rule="brushing_by_hand",
        passes=1.0,
        area_m2=area,
        hours_low=area / rate.high,
        hours=area / rate.low,
        remark=lambda: "against the lie of the grass; casts are knocked apart, not smeared",
    )
