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

BAN = "a water ban is on: no hose. Ask what it allows by can, or sow when it is lifted"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that is sown: litres a day, not in all."""
    here = sown(zones, specification)
    own = (specification.choice("rates") or {}).get("water_mm_a_day")
    depth = tables.value("seed_water_mm_day").number if own is None else float(own)
    days = tables.value("seed_water_days").number
    ban, area = bool(specification.choice("water_ban")), here.numbers("ground_area_m2")
    return row.rows(
        here,
        "watering",
        words=specification.words,
        rule="water_seed_ban" if ban else "water_seed",
        area_m2=area,
        dose=depth,
        dose_unit="l/m² a day",
        water_l=litres_a_day(area, depth),
        flag=lambda: BAN if ban else "",
        remark=lambda: (
            f"litres a day for {days:g} days when it does not rain, in several goes; "
            + ("by can" if ban else "not under a hosepipe ban")
        ),
    )
