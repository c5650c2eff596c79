"""The first cut of the seedlings: high, sharp, and when they are tall enough."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row, work
from lawnmap.treatments.overseeding import sown

TITLE = "First cut"
KIND = "hand"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that is sown."""
    here = sown(zones, specification)
    area = here["ground_area_m2"].to_numpy(dtype=float)
    name = np.full(len(here), work.mower(specification), dtype=object)
    low, high = work.hours(area, name, specification)
    tall = tables.value("first_cut_at_mm").number
    down_to = tall * (1 - tables.value("mow_most_share").number)
    return row.rows(
        here,
        "first_cut",
        rule="first_cut",
        machine=name,
        passes=1.0,
        area_m2=area,
        hours_low=low,
        hours=high,
        **work.held(name, high, specification),
        remark=f"when the seedlings stand {tall:.0f} mm: down to {down_to:.0f} mm, blades sharp, "
        "box on, ground dry",
    )
