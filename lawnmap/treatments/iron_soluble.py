"""Iron as a powder dissolved in water, by the gram."""

from __future__ import annotations

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.treatments.iron_rows import iron_rows

TITLE = "Iron, dissolved"
KIND = "spray"
FORMS = ("soluble",)


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row an application for the zones that get this form of iron."""
    return iron_rows(zones, specification, operation="iron_soluble", forms=FORMS)
