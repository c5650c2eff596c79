"""What is to be done with each zone: "leave it alone" is an answer."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.agronomy import moss as formulas
from lawnmap.model import Specification
from lawnmap.processing.judgement.condition import Band, Texts, fine, thatch_states
from lawnmap.reference import tables
from lawnmap.schema import UNRATED

Levels = npt.NDArray[np.int64]

WORK = ("light work", "renovate", "staged")
LEAVE, LIGHT, RENOVATE, STAGED = range(4)
# How far each state of the thatch goes. Fine turf is touched earlier and more often.
LAWN_LEVEL = {"leave": LEAVE, "scarify": RENOVATE, "staged": STAGED, "too deep": STAGED}
FINE_LEVEL = {"leave": LEAVE, "scarify": LIGHT, "staged": RENOVATE, "too deep": STAGED}


def verdicts(
    zones: gpd.GeoDataFrame,
    moss: Band,
    thatch: Band,
    turf_type: Texts,
    specification: Specification,
) -> tuple[Texts, Texts]:
    """Return the verdict on each zone and the rule behind it."""
    is_fine = fine(turf_type)
    by_thatch = _thatch_level(thatch, turf_type)
    by_moss = np.select([extent(moss) == "whole", extent(moss) == "spot"], [RENOVATE, LIGHT], LEAVE)
    level = np.maximum(by_thatch, by_moss)
    beyond = thatch_states(thatch, turf_type) == "too deep"
    no_moss, no_thatch = np.isnan(moss.at), np.isnan(thatch.at)
    left = np.array(
        [bool(specification.choice("leave", str(each))) for each in zones.index], dtype=bool
    )
    dark = zones["sun_used_h"].to_numpy(dtype=float) < tables.value("sun_least_h").number
    cases = [
        (left, "leave it alone", "leave_by_choice"),
        (dark, "not for grass", "not_for_grass"),
        (is_fine & no_thatch, UNRATED, "thatch_not_measured"),
        (no_moss & no_thatch, UNRATED, "not_rated"),
        ((level == STAGED) & is_fine, "staged", "staged_thatch_fine"),
        (beyond, "staged", "too_deep_thatch"),
        (level == STAGED, "staged", "staged_thatch"),
        ((by_thatch == RENOVATE) & is_fine, "renovate", "renovate_fine"),
        (level == RENOVATE, "renovate", "renovate"),
        (level == LIGHT, "light work", "light_work"),
        (no_moss | no_thatch, UNRATED, "half_rated"),
    ]
    masks = [mask for mask, _, _ in cases]
    verdict = np.select(masks, [word for _, word, _ in cases], "leave it alone")
    rule = np.select(masks, [name for _, _, name in cases], "leave_alone")
    return verdict.astype(object), rule.astype(object)


def extent(moss: Band) -> npt.NDArray[np.str_]:
    """Return how much of each zone the moss asks to treat: none, spot or whole."""
    return formulas.extent(
        moss.at,
        spot_from=tables.value("moss_spot_from_pct").number,
        whole_from=tables.value("moss_whole_from_pct").number,
    )


def _thatch_level(thatch: Band, turf_type: Texts) -> Levels:
    levels = zip(thatch_states(thatch, turf_type), fine(turf_type), strict=True)
    return np.array(
        [(FINE_LEVEL if is_fine else LAWN_LEVEL).get(state, LEAVE) for state, is_fine in levels],
        dtype=np.int64,
    )
