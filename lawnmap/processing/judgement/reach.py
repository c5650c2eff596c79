"""What keeps a machine out of a zone, whatever its shape: slope, gates and steps."""

from __future__ import annotations

import geopandas as gpd
import numpy as np

from lawnmap.model import Machine, Specification
from lawnmap.processing.judgement.bands import Floats
from lawnmap.processing.judgement.cases import Mask
from lawnmap.reference import tables

RAKE = "rake"
# In the order in which they are told; the last is the business of ``judgement.narrow``.
BARS = ("slope", "steps", "gate", "narrow")


def barred(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    found: list[Machine],
    specification: Specification,
) -> dict[str, Mask]:
    """Return by the first of BARS where they keep a machine out: a row a machine, a column a zone.

    A rake goes everywhere. What is not known (a width, a weight, a gate) keeps nothing out.

    Parameters
    ----------
    zones : GeoDataFrame
        With ``slope_deg``.
    features : GeoDataFrame
        Of several ways in the best one counts: nobody knows which one is taken.
    found : list of Machine
    specification : Specification
        How many people there are to lift.
    """
    widest, steps = _ways(features)
    shape = (len(found), len(zones))
    heavy = [steps > 0 and _weight(each) > _lift(specification) for each in found]
    wide = [needed_m(each) > widest for each in found]
    return {
        "slope": _too_steep(zones["slope_deg"].to_numpy(dtype=float), found),
        "steps": np.broadcast_to(np.array(heavy, dtype=bool)[:, None], shape),
        "gate": np.broadcast_to(np.array(wide, dtype=bool)[:, None], shape),
    }


def most_slope_deg(machine: Machine) -> float:
    """Return the steepest ground a machine may work across: its manual's, else the usual one."""
    if machine.kind == RAKE:
        return float("inf")
    if machine.most_slope_deg is not None:
        return machine.most_slope_deg
    return tables.value("across_slope_deg").number


def _ways(features: gpd.GeoDataFrame) -> tuple[float, float]:
    """Return width and steps of the best way in; a gate that nobody measured is wide enough."""
    if features.empty:
        return float("inf"), 0.0
    ways = features[features["feature"] == "access"]
    widths, steps = (ways[column].to_numpy(dtype=float) for column in ("width_m", "steps"))
    if not len(ways) or np.isnan(widths).any():
        return float("inf"), float(np.nan_to_num(steps).min(initial=np.inf) if len(ways) else 0)
    return float(widths.max()), float(np.nan_to_num(steps).min())


def needed_m(machine: Machine) -> float:
    """Return the width of a way in that a machine needs [m]; 0 for a rake or one not measured."""
    if machine.kind == RAKE or machine.overall_width_m is None:
        return 0.0
    return machine.overall_width_m + tables.value("gate_clearance_m").number


def _weight(machine: Machine) -> float:
    return 0.0 if machine.kind == RAKE or machine.weight_kg is None else machine.weight_kg


def _lift(specification: Specification) -> float:
    people = (specification.choice("crew") or {}).get("people", 1)
    return tables.value("lift_one_kg" if people == 1 else "lift_two_kg").number


def _too_steep(slope_deg: Floats, found: list[Machine]) -> Mask:
    limits = np.array([most_slope_deg(each) for each in found])
    return np.asarray(slope_deg > limits[:, None])
