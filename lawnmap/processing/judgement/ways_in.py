"""Machines named for a site against the ways into it: gates and steps."""

from __future__ import annotations

from collections.abc import Iterator

import geopandas as gpd
import numpy as np

from lawnmap.model import Machine, Specification
from lawnmap.processing import machines
from lawnmap.reference import tables

BY_HAND = ("rake", "hand", "can", "knapsack")


def too_wide(features: gpd.GeoDataFrame, specification: Specification) -> Iterator[str]:
    """Yield one line for each machine that was named and does not come in, with the way out.

    Parameters
    ----------
    features : GeoDataFrame
        Ways in are of the kind ``access``; a width or steps that nobody noted say nothing. Of
        several ways the best one counts.
    specification : Specification
    """
    ways = features[features["feature"] == "access"]
    if ways.empty:
        return
    widths, steps = (ways[column].to_numpy(dtype=float) for column in ("width_m", "steps"))
    widest = np.inf if np.isnan(widths).any() else float(widths.max())
    fewest = float(np.nan_to_num(steps).min())
    for machine in _named(specification):
        needed = _needed_m(machine)
        if needed > widest:
            yield (
                f"{machine.name} needs {needed:.2f} m with its clearance, and the widest way in "
                f"is {widest:.2f} m: it cannot be used. Name a narrower machine, take a panel of "
                "the fence out and map it as access, or use a rake."
            )
        if fewest > 0 and machine.kind not in BY_HAND:
            weight = f" ({machine.weight_kg:g} kg)" if machine.weight_kg else ""
            yield (
                f"{machine.name}{weight} has to get over {fewest:.0f} steps on every way in: "
                "bring ramps or two people to lift, or name something that is carried."
            )


def _named(specification: Specification) -> list[Machine]:
    """Return the machines that the specification itself names."""
    names = [
        *(specification.choice("machines") or ()),
        *(specification.choice("applicator") or {}).values(),
    ]
    found = (machines.named(name, specification) for name in dict.fromkeys(names) if name)
    return [each for each in found if each is not None]


def _needed_m(machine: Machine) -> float:
    """Return the width of a way in that a machine needs [m]; 0 when its card does not say."""
    if machine.overall_width_m is None or machine.kind in BY_HAND:
        return 0.0
    return machine.overall_width_m + tables.value("gate_clearance_m").number
