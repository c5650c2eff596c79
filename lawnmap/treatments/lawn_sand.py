"""Lawn sand or granules with iron, spread dry; their nitrogen counts as feed."""

from __future__ import annotations

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.treatments.iron_rows import iron_rows

TITLE = "Lawn sand"
KIND = "granules"
FORMS = ("lawn sand", "granule")


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row an application for the zones that get this form of iron."""
    return iron_rows(zones, specification, operation="lawn_sand", forms=FORMS)
