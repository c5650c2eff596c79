"""The first cut of the seedlings: high, sharp, and when they are tall enough."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row, work
from lawnmap.treatments.overseeding import sown
from lawnmap.treatments.turf import turfs

TITLE = "First cut"
KIND = "hand"

# The rule for each height of the turf table.
RULE = {"first_cut_at_mm": "first_cut", "first_cut_fine_at_mm": "first_cut_fine"}


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that is sown."""
    here = sown(zones, specification)
    area = here["ground_area_m2"].to_numpy(dtype=float)
    name = np.full(len(here), work.mower(specification), dtype=object)
    low, high = work.hours(area, name, specification)
    at = [each.first_cut for each in turfs(here, specification)]
    return row.rows(
        here,
        "first_cut",
        rule=np.array([RULE[each] for each in at], dtype=object),
        machine=name,
        passes=1.0,
        area_m2=area,
        hours_low=low,
        hours=high,
        **work.held(name, high, specification),
        flag=work.too_steep(here, work.mower(specification), specification),
        remark=[_how(tables.value(each).number) for each in at],
    )


def _how(tall_mm: float) -> str:
    down_to = tall_mm * (1 - tables.value("mow_most_share").number)
    return (
        f"when the seedlings stand {tall_mm:.0f} mm: down to {down_to:.0f} mm, blades sharp, box "
        "on, ground dry"
    )
