"""Water for new seed when it does not rain."""

from __future__ import annotations

import geopandas as gpd
import pandas as pd

from lawnmap.agronomy.watering import litres_a_day
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row
from lawnmap.treatments.overseeding import sown

TITLE = "Watering"
KIND = "water"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that is sown: litres a day, not in all."""
    here = sown(zones, specification)
    own = (specification.choice("rates") or {}).get("water_mm_a_day")
    depth = tables.value("seed_water_mm_day").number if own is None else float(own)
    days = tables.value("seed_water_days").number
    return row.rows(
        here,
        "watering",
        rule="water_seed",
        area_m2=here["ground_area_m2"],
        dose=depth,
        dose_unit="l/m² a day",
        water_l=litres_a_day(here["ground_area_m2"], depth),
        remark=f"litres a day for {days:g} days when it does not rain, in several goes; "
        "not under a hosepipe ban",
    )
