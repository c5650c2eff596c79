"""Mowing down in steps before the blades."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.agronomy.mowing import cuts_down
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row, work
from lawnmap.treatments.overseeding import sown

TITLE = "Mowing"
KIND = "hand"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each zone that is taken down before blades, lower where seed follows.

    Grass whose height nobody gave gets one cut: the number of steps is then not known.
    """
    seeded = zones.index.isin(sown(zones, specification).index)
    to_sow, usual = (tables.value(f"mow_before{each}_mm").number for each in ("_seed", ""))
    target = np.where(seeded, to_sow, usual)
    height = zones["cut_height_mm"].to_numpy(dtype=float)
    wanted = (zones["blades"].to_numpy(dtype=object) != "") & ~(height <= target)
    here, target, seeded = zones[wanted], target[wanted], seeded[wanted]
    unknown = here["cut_height_mm"].isna().to_numpy()
    cuts = [_cuts(*each) for each in zip(here["cut_height_mm"], target, strict=True)]
    number = np.array([max(len(each), 1) for each in cuts], dtype=float)
    area = here["ground_area_m2"].to_numpy(dtype=float)
    name = np.full(len(here), work.mower(specification), dtype=object)
    low, high = work.hours(area, name, specification, number)
    return row.rows(
        here,
        "mowing",
        rule=np.select(
            [unknown & seeded, unknown, seeded],
            ["mow_unknown_seed", "mow_unknown", "mow_down_seed"],
            "mow_down",
        ).astype(object),
        machine=name,
        passes=number,
        area_m2=area,
        hours_low=low,
        hours=high,
        **work.held(name, high, specification),
        remark=[_how(*each) for each in zip(cuts, target, strict=True)],
        flag=np.where(unknown, "height of the grass not known", ""),
    )


def _cuts(height_mm: float, target_mm: float) -> tuple[float, ...]:
    if np.isnan(height_mm):
        return ()
    return cuts_down(height_mm, target_mm, tables.value("mow_most_share").number)


def _how(cuts: tuple[float, ...], target_mm: float) -> str:
    if not cuts:
        return f"down to {target_mm:g} mm, in steps if the grass is long; box on"
    return f"cut at {', '.join(f'{each:.0f}' for each in cuts)} mm, days apart; box on"
