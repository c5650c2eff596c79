"""Holes, and the cores that come out of them."""

from __future__ import annotations

import math


def holes_per_m2(spacing_across_mm: float, spacing_along_mm: float) -> float:
    """Return holes on one m² from the spacing of the tines and of the strokes [mm]."""
    if not (spacing_across_mm > 0 and spacing_along_mm > 0):
        raise ValueError("the spacing of holes must be above zero")
    return 1e6 / (spacing_across_mm * spacing_along_mm)


def cores_l_m2(holes_m2: float, diameter_mm: float, depth_mm: float) -> float:
    """Return the volume of cores as they lay in the ground [l/m²]; none for solid tines."""
    return holes_m2 * math.pi / 4 * diameter_mm**2 * depth_mm / 1e6
