"""When a client's figure for an area is not ours: what it most likely is."""

from __future__ import annotations

import math

# Half-widths of the bands in which a ratio is taken for a cause. A tape or a planimeter is rarely
# better than one per cent; a wrong unit is never off by that little.
SAME = 0.005
NEAR = 0.02

UNITS = (
    (10.7639, "square feet"),
    (1.19599, "square yards"),
    (1e-4, "hectares"),
    (1e-6, "square kilometres"),
    (2.47105e-4, "acres"),
    (1e4, "square centimetres"),
    (1e6, "square millimetres"),
)


def cause(
    claimed: float,
    plan_area_m2: float,
    outline_area_m2: float,
    latitude_deg: float,
    ground_area_m2: float | None = None,
) -> str:
    """Return the likely cause of a difference, in words; empty when the two agree.

    Parameters
    ----------
    claimed : float
        The figure from the file, taken as m².
    plan_area_m2 : float
        Our map area, holes and obstacles out.
    outline_area_m2 : float
        The same with holes filled and obstacles kept.
    latitude_deg : float
        Of the zone, for the scale of a web map.
    ground_area_m2 : float, optional
        Along the slope.

    Examples
    --------
    >>> cause(2700.0, 1000.0, 1000.0, 52.5)
    'it looks like an area measured on a web map, which is 2.70 times too large here'
    """
    if claimed <= 0 or plan_area_m2 <= 0 or not math.isfinite(claimed):
        return "it is not an area"
    ratio = claimed / plan_area_m2
    if abs(ratio - 1) <= SAME:
        return ""
    if _near(claimed, outline_area_m2) and not _near(plan_area_m2, outline_area_m2):
        return "beds, holes or other obstacles were not taken out"
    if ground_area_m2 is not None and _near(claimed, ground_area_m2):
        return "it follows the slope"
    for factor, unit in UNITS:
        if abs(ratio / factor - 1) <= NEAR:
            return f"it looks like {unit}"
    web = 1 / math.cos(math.radians(latitude_deg)) ** 2
    if web > 1 + NEAR and abs(ratio / web - 1) <= NEAR:
        return (
            f"it looks like an area measured on a web map, which is {web:.2f} times too large here"
        )
    if _near(ratio, 2) or _near(ratio, 0.5):
        return "one of the two is on the wrong paper size (A3 for A4), or counted twice"
    return "the cause is not plain: ask how it was measured"


def _near(one: float, other: float) -> bool:
    return abs(one / other - 1) <= SAME if other else False
