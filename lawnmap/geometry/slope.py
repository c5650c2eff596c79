"""Map area to ground area on a plane slope, and the ways people state a slope."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


def ground_factor(slope_deg: Floats | float) -> Floats:
    """Return ground area over map area for a plane at `slope_deg` from the level.

    Only one direction stretches, so it is 1/cos and not its square.

    Examples
    --------
    >>> round(float(ground_factor(20.0)), 5)
    1.06418
    """
    factor: Floats = 1.0 / np.cos(np.radians(np.asarray(slope_deg, dtype=np.float64)))
    return factor


def degrees_of(factor: float) -> float:
    """Return the slope of the plane whose ground area is `factor` times its map area [°].

    Examples
    --------
    >>> round(degrees_of(1.06418), 2)
    20.0
    """
    return float(np.degrees(np.arccos(min(1.0 / factor, 1.0))))


def degrees_from(text: str) -> float:
    """Return a slope in degrees from "12", "12 deg", "20 %" or "1 in 5".

    Raises
    ------
    ValueError
        When it is none of these, or not between the level and 60°.

    Examples
    --------
    >>> round(degrees_from("1 in 3"), 2)
    18.43
    """
    words = text.lower().replace("°", " deg").replace(":", " in ").replace("%", " %").split()
    match words:
        case [value] | [value, "deg"] | [value, "degrees"]:
            slope = float(value)
        case [value, "%"]:
            slope = float(np.degrees(np.arctan(float(value) / 100)))
        case ["1", "in", run] if float(run) > 0:
            slope = float(np.degrees(np.arctan(1 / float(run))))
        case _:
            raise ValueError(f"{text!r} is not a slope: write degrees, per cent or 1 in n")
    if not 0 <= slope <= 60:  # noqa: PLR2004 - steeper ground is no lawn
        raise ValueError(f"{text!r} is not a slope a lawn can have (0 to 60 degrees)")
    return slope
