"""Whether a plan can be in the CRS that a person said: its unit, and where it then lies."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pyproj
import shapely

from lawnmap.errors import InputRefused
from lawnmap.geometry.crs import known, to_lonlat

Floats = npt.NDArray[np.float64]

SAME_UNIT = 1e-5  # the foot of 1959 and that of the US survey differ by 2 in a million


def units_of(system: str, unit_m: float | None) -> float:
    """Return the units of the CRS to one unit of a plan; 1 when that is not known, or degrees.

    Parameters
    ----------
    system : str
    unit_m : float or None
        Metres to one unit of the plan.
    """
    crs = known(system)
    if unit_m is None or crs.is_geographic or not crs.axis_info:
        return 1.0
    times = unit_m / float(crs.axis_info[0].unit_conversion_factor)
    return 1.0 if abs(times - 1) < SAME_UNIT else times


def at_home(system: str, xy: Floats, times: float, *, said: bool) -> list[str]:
    """Return a warning when a plan lies where the CRS that was said for it is not made for.

    Parameters
    ----------
    system : str
    xy : (n, 2) array
        Coordinates in the plan.
    times : float
        Units of the CRS to one of the plan.
    said : bool
        Whether a person said the plan's unit, and not its header.

    Raises
    ------
    InputRefused
        When nobody said the unit and the plan would also lie in that area with its numbers as they
        are. A drawing whose header says millimetres while its numbers are metres of the grid is
        common, and would come out a thousand times too small.
    """
    crs = known(system)
    if not len(xy) or crs.area_of_use is None:
        return []
    middle = (xy.min(axis=0) + xy.max(axis=0)) / 2
    as_drawn = _lonlat_of(middle, system) if times != 1 and not said else None
    if as_drawn is not None and within(crs, as_drawn):
        raise InputRefused(
            f"the plan lies in the area of {crs.name} with its numbers as "
            f"{crs.axis_info[0].unit_name}, and its header says another unit",
            remedy="Give its true unit with --units: most likely that of the CRS.",
        )
    at = _lonlat_of(middle * times, system)
    if at is not None and within(crs, at):
        return []
    where = "" if at is None else f" at {at[0]:.3f}, {at[1]:.3f}"
    return [f"The plan lies{where} and {crs.name} is made for {crs.area_of_use.name}: check --crs."]


def _lonlat_of(xy: Floats, system: str) -> Floats | None:
    try:
        (moved,) = to_lonlat(np.array([shapely.Point(xy)], dtype=object), system)
    except InputRefused:
        return None
    return np.array([moved.x, moved.y])


def within(crs: pyproj.CRS, lonlat: Floats) -> bool:
    """Tell whether a place is in the area that a CRS is made for."""
    if crs.area_of_use is None:
        return True
    west, south, east, north = crs.area_of_use.bounds
    after, before = west <= lonlat[0], lonlat[0] <= east
    along = (after or before) if west > east else (after and before)  # round the date line
    return bool(along and south <= lonlat[1] <= north)
