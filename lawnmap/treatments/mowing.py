"""Mowing down before the blades: one step for each cut, days apart."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.agronomy.mowing import cuts, cuts_down
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import names, row, work
from lawnmap.treatments.chosen import Chosen
from lawnmap.treatments.overseeding import sows
from lawnmap.treatments.turf import turfs

TITLE = "Mowing"
KIND = "hand"

FINE = "mow_before_fine_mm"
# Rules for a lawn, one that seed follows on, and fine turf.
DOWN = ("mow_down", "mow_down_seed", "mow_down_fine")
UNKNOWN = ("mow_unknown", "mow_unknown_seed", "mow_unknown_fine")

Floats = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return a row for each cut of each zone that is taken down before blades.

    Where seed follows, a lawn is cut lower; fine turf has a height of its own. Grass whose height
    nobody gave gets one cut: how many it takes is then not known.
    """
    every = Chosen(zones)
    seeded, turf = sows(every, specification), turfs(every, specification)
    target, fine = _down_to(turf, seeded)
    height = every.numbers("cut_height_mm")
    wanted = ~every.among("blades", "") & ~(height <= target)
    place = np.repeat(np.flatnonzero(wanted), _cuts(height[wanted], target[wanted]))
    here, unknown = every.at(place), np.isnan(height[place])
    area, name = here.numbers("ground_area_m2"), work.mower(specification)
    low, high = work.hours(area, name, specification)
    return row.rows(
        here,
        "mowing",
        words=specification.words,
        rule=_rules(unknown, fine[place], seeded[place]),
        machine=name,
        passes=1.0,
        area_m2=area,
        hours_low=low,
        hours=high,
        **work.held(name, high, specification),
        remark=lambda: [
            said
            for each in zip(height[wanted], target[wanted], fine[wanted], strict=True)
            for said in _how(*each)
        ],
        flag=lambda: _flags(unknown, here.numbers("slope_deg"), name, specification),
    )


def _down_to(turf: pd.Categorical, seeded: Mask) -> tuple[Floats, Mask]:
    """Return the height to cut down to [mm], and whether it is that of fine turf."""

    def heights(turf_type: str) -> tuple[float, ...]:
        known = tables.turf(turf_type)
        named = known.mow_before, known.mow_before_seed
        mm = (tables.value(each).number for each in named)
        return *mm, *(each == FINE for each in named)

    plain, seed, plain_fine, seed_fine = names.figures(turf, heights)
    return np.where(seeded, seed, plain), np.where(seeded, seed_fine, plain_fine) > 0


def _cuts(height_mm: Floats, target_mm: Floats) -> npt.NDArray[np.intp]:
    """Return how many cuts each zone gets."""
    known = np.where(np.isnan(height_mm), target_mm, height_mm)
    most = tables.value("mow_most_share").number
    return np.maximum(cuts(known, target_mm, most), 1.0).astype(np.intp)


def _flags(unknown: Mask, slope_deg: Floats, mower: str, specification: Specification) -> list[str]:
    length = np.where(unknown, "height of the grass not known", "")
    steep = work.too_steep(slope_deg, mower, specification)
    return ["; ".join(filter(None, each)) for each in zip(length, steep, strict=True)]


def _rules(unknown: Mask, fine: Mask, seeded: Mask) -> pd.Categorical:
    plain = np.where(fine, 2, np.where(seeded, 1, 0))
    return names.pick(np.where(unknown, plain + len(DOWN), plain), DOWN + UNKNOWN)


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
