"""Raking by hand."""

from __future__ import annotations

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.treatments.bladed import bladed

TITLE = "Raking"
KIND = "hand"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that a rake was chosen for."""
    return bladed(zones, specification, operation="raking", by_hand=True)
