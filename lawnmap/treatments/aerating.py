"""Aerating: spiking small ground by hand, hollow tines on larger."""

from __future__ import annotations

from typing import Any

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.agronomy import aerating
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import names, row, work
from lawnmap.treatments.chosen import Chosen

TITLE = "Aerating"
KIND = "blades"

WORKED = ("light work", "renovate", "staged")


def steps(zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
    """Return one row for each worked zone that is hard or wet, or whose thatch is staged.

    Tines lift seedlings as blades do: they wait for grass that holds.
    """
    every = Chosen(zones)
    here = every.where(
        every.among("verdict", *WORKED)
        & (
            every.among("compaction", "hard", "will not go in")
            | every.among("drainage", "slow", "stands wet")
            | every.among("verdict", "staged")
        )
        & ~every.among("blades_rule", "blades_young")
    )
    area = here.numbers("ground_area_m2")
    by_hand = area <= tables.value("rake_up_to_m2").number
    name = names.either(by_hand, work.named("fork"), work.named("hollow_tine_machine"))
    low, high = work.hours(area, name, specification)
    cores = np.where(by_hand, 0.0, area * _cores_l_m2())
    return row.rows(
        here,
        "aerating",
        words=specification.words,
        rule=names.either(by_hand, "aerate_spike", "aerate"),
        machine=name,
        passes=1.0,
        area_m2=area,
        amount_low=np.where(by_hand, np.nan, cores),
        amount=np.where(by_hand, np.nan, cores),
        unit=names.either(by_hand, "", "l"),
        hours_low=low,
        hours=high,
        **work.held(name, high, specification),
        flag=lambda: _flags(here),
        remark=lambda: np.where(
            by_hand,
            "spike, ease and lift out",
            "cores come off with the arisings; hire it, or spike by hand",
        ),
    )


def _flags(zones: Chosen) -> npt.NDArray[Any]:
    """Say of what lies hidden that tines may reach it, where nobody knows it to be deeper."""
    hidden = zones.table["hidden"].to_numpy(dtype=object)
    deeper = zones.numbers("hidden_mm") > tables.value("tine_depth_mm").high
    return np.where((hidden != "") & ~deeper, "hidden here: " + hidden + ". Keep tines off it", "")


def _cores_l_m2() -> float:
    spacing = tables.value("tine_spacing_mm").number
    return aerating.cores_l_m2(
        aerating.holes_per_m2(spacing, spacing),
        tables.value("tine_diameter_mm").number,
        tables.value("tine_depth_mm").number,
    )
