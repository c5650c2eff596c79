"""Ways out of thatch that is not scarified out in one season, with what each would need here."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.agronomy import aerating, top_dressing
from lawnmap.agronomy import thatch as formulas
from lawnmap.processing.judgement.cases import Codes, Texts, said
from lawnmap.reference import tables

RULES = {"staged": "ways_staged", "too deep": "ways_too_deep"}


def ways_rule(state: Codes) -> pd.Categorical:
    """Return the rule of the ways out for each zone, by what its thatch calls for; or nothing."""
    return said(state, [RULES.get(each, "") for each in (*formulas.STATES, "")])


def ways_out(zones: gpd.GeoDataFrame, state: Codes) -> Texts:
    """Return the ways out for each zone in words; empty where none is needed."""
    area = zones["ground_area_m2"].to_numpy(dtype=float)
    cored, slots = (_sand(area, litres) for litres in (_core_l_m2(), _slot_l_m2()))
    states = np.array([*formulas.STATES, ""], dtype=object)[state]
    told = [
        "; or ".join(_ways(each, core, slot)) if each in RULES else ""
        for each, core, slot in zip(states, cored, slots, strict=True)
    ]
    return np.array(told, dtype=object)


def _ways(state: str, cored: str, slots: str) -> list[str]:
    core = f"hollow coring each autumn, the cores off and about {cored} of dressing in"
    if state == "staged":
        return ["a part each season, then recovery, and measure again", core]
    depth, years = (tables.value(f"deep_scarify_{each}").number for each in ("mm", "years"))
    return [
        core,
        f"deep scarifying to {depth:g} mm for about {years:g} years, with about {slots} of sand "
        "and seed each time",
        "strip, and start again",
    ]


def _core_l_m2() -> float:
    spacing = tables.value("tine_spacing_mm").number
    return aerating.cores_l_m2(
        aerating.holes_per_m2(spacing, spacing),
        tables.value("tine_diameter_mm").number,
        tables.value("tine_depth_mm").number,
    )


def _slot_l_m2() -> float:
    return formulas.slots_l_m2(
        tables.value("deep_scarify_mm").number,
        tables.value("deep_scarify_slot_mm").number,
        tables.value("deep_scarify_spacing_mm").number,
    )


def _sand(area_m2: np.ndarray[tuple[int], np.dtype[np.float64]], litres_m2: float) -> list[str]:
    """Return what fills the holes in m³ and tonnes; one litre on one m² is one millimetre."""
    volume = top_dressing.volume_m3(area_m2, litres_m2)
    mass = top_dressing.mass_t(volume, tables.value("dressing").number)
    return [f"{one:.2g} m³ ({other:.2g} t)" for one, other in zip(volume, mass, strict=True)]
