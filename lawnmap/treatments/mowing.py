"""Mowing down before the blades: one step for each cut, days apart."""

from __future__ import annotations

from typing import Any

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.agronomy.mowing import cuts_down
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row, work
from lawnmap.treatments.overseeding import sown
from lawnmap.treatments.turf import turfs

TITLE = "Mowing"
KIND = "hand"

FINE = "mow_before_fine_mm"


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return a row for each cut of each zone that is taken down before blades.

    Where seed follows, a lawn is cut lower; fine turf has a height of its own. Grass whose height
    nobody gave gets one cut: how many it takes is then not known.
    """
    seeded = zones.index.isin(sown(zones, specification).index)
    down_to = [
        turf.mow_before_seed if sow else turf.mow_before
        for turf, sow in zip(turfs(zones, specification), seeded, strict=True)
    ]
    target = np.array([tables.value(each).number for each in down_to], dtype=float)
    height = zones["cut_height_mm"].to_numpy(dtype=float)
    wanted = (zones["blades"].to_numpy(dtype=object) != "") & ~(height <= target)
    fine = np.array([each == FINE for each in down_to], dtype=bool)
    told = [_how(*each) for each in zip(height[wanted], target[wanted], fine[wanted], strict=True)]
    place = np.repeat(np.flatnonzero(wanted), [len(each) for each in told])
    here, unknown = zones.iloc[place], np.isnan(height[place])
    area = here["ground_area_m2"].to_numpy(dtype=float)
    name = np.full(len(here), work.mower(specification), dtype=object)
    low, high = work.hours(area, name, specification)
    return row.rows(
        here,
        "mowing",
        rule=_rules(unknown, fine[place], seeded[place]),
        machine=name,
        passes=1.0,
        area_m2=area,
        hours_low=low,
        hours=high,
        **work.held(name, high, specification),
        remark=[each for cuts in told for each in cuts],
        flag=_flags(unknown, work.too_steep(here, work.mower(specification), specification)),
    )


def _flags(unknown: npt.NDArray[np.bool_], steep: list[str]) -> list[str]:
    length = np.where(unknown, "height of the grass not known", "")
    return ["; ".join(filter(None, each)) for each in zip(length, steep, strict=True)]


def _rules(
    unknown: npt.NDArray[np.bool_], fine: npt.NDArray[np.bool_], seeded: npt.NDArray[np.bool_]
) -> npt.NDArray[Any]:
    kinds = [unknown & fine, fine, unknown & seeded, unknown, seeded]
    names = ["mow_unknown_fine", "mow_down_fine", "mow_unknown_seed", "mow_unknown",
             "mow_down_seed"]  # fmt: skip
    return np.select(kinds, names, "mow_down").astype(object)


def _how(height_mm: float, target_mm: float, fine: bool) -> list[str]:  # noqa: FBT001 - of a zone
    """Return what is said of each cut of a zone; fine turf is cut lower than blades that turn."""
    box = "box on; with a cylinder mower" if fine else "box on"
    if np.isnan(height_mm):
        return [f"down to {target_mm:g} mm, in steps if the grass is long; {box}"]
    cuts = cuts_down(height_mm, target_mm, tables.value("mow_most_share").number)
    if len(cuts) == 1:
        return [f"cut at {target_mm:.0f} mm; {box}"]
    return [
        f"cut {number} of {len(cuts)}: at {each:.0f} mm; {box}"
        for number, each in enumerate(cuts, start=1)
    ]
