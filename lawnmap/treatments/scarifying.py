"""Scarifying by machine."""

from __future__ import annotations

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.treatments.bladed import bladed

TITLE = "Scarifying"
KIND = "blades"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that a machine was chosen for."""
    return bladed(zones, specification, operation="scarifying", by_hand=False)
