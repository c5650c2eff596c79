"""What is to be done with each zone: "leave it alone" is an answer."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.model import Specification
from lawnmap.processing.judgement.cases import Mask, by_choice, first, said
from lawnmap.processing.judgement.condition import TOO_DEEP, Condition
from lawnmap.reference import tables
from lawnmap.schema import UNRATED

Levels = npt.NDArray[np.int8]

WORK = ("light work", "renovate", "staged")
LEAVE, LIGHT, RENOVATE, STAGED = range(4)
# How far the moss goes, by EXTENTS, and each state of the thatch, by STATES and for what nobody
# knows at the end. Fine turf is touched earlier and more often.
BY_MOSS = np.array([LEAVE, LIGHT, RENOVATE], dtype=np.int8)
ON_LAWN = np.array([LEAVE, RENOVATE, STAGED, STAGED, LEAVE], dtype=np.int8)
ON_FINE = np.array([LEAVE, LIGHT, RENOVATE, STAGED, LEAVE], dtype=np.int8)


class Verdicts(NamedTuple):
    """The verdict on each zone, the rule behind it, and whether it asks for work."""

    verdict: pd.Categorical
    rule: pd.Categorical
    worked: Mask


def verdicts(
    zones: gpd.GeoDataFrame, condition: Condition, specification: Specification
) -> Verdicts:
    """Return the verdict on each zone."""
    is_fine = condition.fine
    by_thatch = np.where(is_fine, ON_FINE[condition.state], ON_LAWN[condition.state])
    level = np.maximum(by_thatch, BY_MOSS[condition.extent])
    no_moss, no_thatch = np.isnan(condition.moss.at), np.isnan(condition.thatch.at)
    dark = zones["sun_used_h"].to_numpy(dtype=float) < tables.value("sun_least_h").number
    cases = [
        (by_choice(specification, "leave", zones.index, bool), "leave it alone", "leave_by_choice"),
        (dark, "not for grass", "not_for_grass"),
        (is_fine & no_thatch, UNRATED, "thatch_not_measured"),
        (no_moss & no_thatch, UNRATED, "not_rated"),
        ((level == STAGED) & is_fine, "staged", "staged_thatch_fine"),
        (condition.state == TOO_DEEP, "staged", "too_deep_thatch"),
        (level == STAGED, "staged", "staged_thatch"),
        ((by_thatch == RENOVATE) & is_fine, "renovate", "renovate_fine"),
        (level == RENOVATE, "renovate", "renovate"),
        (level == LIGHT, "light work", "light_work"),
        (no_moss | no_thatch, UNRATED, "half_rated"),
    ]
    case = first([mask for mask, _, _ in cases], len(zones))
    words = [*(word for _, word, _ in cases), "leave it alone"]
    rules = [*(rule for _, _, rule in cases), "leave_alone"]
    worked = np.array([word in WORK for word in words])[case]
    return Verdicts(said(case, words), said(case, rules), worked)
