"""Aerating: spiking small ground by hand, hollow tines on larger."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.agronomy import aerating
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row, work

TITLE = "Aerating"
KIND = "blades"

WORKED = ("light work", "renovate", "staged")


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each worked zone that is hard or wet, or whose thatch is staged."""
    here = zones[
        zones["verdict"].isin(WORKED)
        & (
            zones["compaction"].isin(["hard", "will not go in"])
            | zones["drainage"].isin(["slow", "stands wet"])
            | (zones["verdict"] == "staged")
        )
    ]
    area = here["ground_area_m2"].to_numpy(dtype=float)
    by_hand = area <= tables.value("rake_up_to_m2").number
    name = np.where(by_hand, work.named("fork"), work.named("hollow_tine_machine")).astype(object)
    low, high = work.hours(area, name, specification)
    cores = np.where(by_hand, 0.0, area * _cores_l_m2())
    hidden = here["hidden"].to_numpy(dtype=object) != ""
    shallow = hidden & ~(
        here["hidden_mm"].to_numpy(dtype=float) > tables.value("tine_depth_mm").high
    )
    return row.rows(
        here,
        "aerating",
        rule=np.where(by_hand, "aerate_spike", "aerate").astype(object),
        machine=name,
        passes=1.0,
        area_m2=area,
        amount_low=np.where(by_hand, np.nan, cores),
        amount=np.where(by_hand, np.nan, cores),
        unit=np.where(by_hand, "", "l"),
        hours_low=low,
        hours=high,
        **work.held(name, high, specification),
        flag=np.where(shallow, "hidden here: " + here["hidden"] + ". Keep tines off it", ""),
        remark=np.where(
            by_hand,
            "spike, ease and lift out",
            "cores come off with the arisings; hire it, or spike by hand",
        ),
    )


def _cores_l_m2() -> float:
    spacing = tables.value("tine_spacing_mm").number
    return aerating.cores_l_m2(
        aerating.holes_per_m2(spacing, spacing),
        tables.value("tine_diameter_mm").number,
        tables.value("tine_depth_mm").number,
    )
