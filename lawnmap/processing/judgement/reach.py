"""What keeps a machine out of a zone: slope, gates, steps, and ground too narrow for it."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry.frame import Frame
from lawnmap.model import Machine, Specification
from lawnmap.processing.judgement.condition import Floats, Mask
from lawnmap.reference import tables

RAKE = "rake"
# In the order in which they are told.
BARS = ("slope", "steps", "gate", "narrow")


def barred(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    found: list[Machine],
    specification: Specification,
) -> dict[str, Mask]:
    """Return by each of BARS where it keeps a machine out: zones in rows, machines in columns.

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
    gate = np.array([_needed_m(each) > widest for each in found], dtype=bool)
    heavy = np.array([steps > 0 and _weight(each) > _lift(specification) for each in found])
    shape = (len(zones), len(found))
    return {
        "slope": _too_steep(zones["slope_deg"].to_numpy(dtype=float), found),
        "steps": np.broadcast_to(heavy.astype(bool), shape),
        "gate": np.broadcast_to(gate, shape),
        "narrow": _too_narrow(zones, found),
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
    ways = features[features["feature"] == "access"]
    widths, steps = (ways[column].to_numpy(dtype=float) for column in ("width_m", "steps"))
    if not len(ways) or np.isnan(widths).any():
        return float("inf"), float(np.nan_to_num(steps).min(initial=np.inf) if len(ways) else 0)
    return float(widths.max()), float(np.nan_to_num(steps).min())


def _needed_m(machine: Machine) -> float:
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
    return np.asarray(slope_deg[:, None] > limits[None, :])


def _too_narrow(zones: gpd.GeoDataFrame, found: list[Machine]) -> Mask:
    """Return where a machine gets into too little of a zone, going by its overall width."""
    barred = np.zeros((len(zones), len(found)), dtype=bool)
    if zones.empty:
        return barred
    west, south, east, north = zones.total_bounds
    flat = Frame((west + east) / 2, (south + north) / 2).flat(np.asarray(zones.geometry.array))
    for column, machine in enumerate(found):
        width = machine.overall_width_m or machine.width_m
        if machine.kind != RAKE and width:
            barred[:, column] = _reached(flat, width) < tables.value("reach_least_share").number
    return barred


def _reached(flat: npt.NDArray[np.object_], width_m: float) -> Floats:
    """Return the share of each shape [m] that a disc of that width gets to, 0 to 1."""
    area = shapely.area(flat)
    # Within half a width of the edge lies at most the edge times that: often this settles it.
    share = 1 - shapely.length(flat) * width_m / 2 / np.where(area > 0, area, np.inf)
    doubtful = np.flatnonzero((share < tables.value("reach_least_share").number) & (area > 0))
    inside = shapely.buffer(flat[doubtful], -width_m / 2, quad_segs=4)
    share[doubtful] = shapely.area(shapely.buffer(inside, width_m / 2)) / area[doubtful]
    return np.asarray(share, dtype=np.float64)
