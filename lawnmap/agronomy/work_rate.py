"""Hours of work from machines and hands."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def field_capacity(
    speed_km_h: ArrayLike, width_m: ArrayLike, efficiency: ArrayLike
) -> NDArray[np.float64]:
    """Return effective field capacity [m²/h] from speed, width and field efficiency.

    Parameters
    ----------
    speed_km_h, width_m : array_like
        Forward speed [km/h] and working width [m].
    efficiency : array_like
        Field efficiency, 0 to 1: turning, overlap, clogging. Emptying a box is counted apart.

    Examples
    --------
    >>> round(float(field_capacity(3.0, 0.38, 0.70)), 6)
    798.0
    """
    work = np.asarray(speed_km_h, dtype=np.float64) * np.asarray(width_m, dtype=np.float64)
    return 1000 * work * np.asarray(efficiency, dtype=np.float64)


def hours(area_m2: ArrayLike, area_m2_h: ArrayLike, passes: ArrayLike = 1) -> NDArray[np.float64]:
    """Return hours for `passes` over an area at a work rate [m²/h]."""
    work = np.asarray(area_m2, dtype=np.float64) * np.asarray(passes, dtype=np.float64)
    return work / np.asarray(area_m2_h, dtype=np.float64)


def bouts(across_m: ArrayLike, width_m: float, overlap: float = 0.0) -> NDArray[np.float64]:
    """Return the number of parallel bouts over ground `across_m` wide.

    Parameters
    ----------
    across_m : array_like
        Width of the ground at right angles to travel [m].
    width_m : float
        Working width [m].
    overlap : float
        Share of the working width that is covered twice, 0 up to 1.
    """
    if not (width_m > 0 and 0 <= overlap < 1):
        raise ValueError("working width must be above zero, and overlap from 0 up to 1")
    return np.ceil(np.asarray(across_m, dtype=np.float64) / (width_m * (1 - overlap)) - 1e-9)
