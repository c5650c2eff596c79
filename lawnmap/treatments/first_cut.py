"""The first cut of the seedlings: high, sharp, and when they are tall enough."""

from __future__ import annotations

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import names, row, work
from lawnmap.treatments.overseeding import sown
from lawnmap.treatments.turf import turfs

TITLE = "First cut"
KIND = "hand"

# The rule for each height of the turf table.
RULE = {"first_cut_at_mm": "first_cut", "first_cut_fine_at_mm": "first_cut_fine"}


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that is sown."""
    here = sown(zones, specification)
    area, name = here.numbers("ground_area_m2"), work.mower(specification)
    low, high = work.hours(area, name, specification)
    at = names.renamed(turfs(here, specification), lambda each: tables.turf(each).first_cut)
    return row.rows(
        here,
        "first_cut",
        words=specification.words,
        rule=names.renamed(at, lambda each: RULE[each]),
        machine=name,
        passes=1.0,
        area_m2=area,
        hours_low=low,
        hours=high,
        **work.held(name, high, specification),
        flag=lambda: work.too_steep(here.numbers("slope_deg"), name, specification),
        remark=lambda: names.renamed(at, lambda each: _how(tables.value(each).number)),
    )


def _how(tall_mm: float) -> str:
    down_to = tall_mm * (1 - tables.value("mow_most_share").number)
    return (
        f"when the seedlings stand {tall_mm:.0f} mm: down to {down_to:.0f} mm, blades sharp, box "
        "on, ground dry"
    )
