"""To what decimal coordinates are written, and what that step is on the ground."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.frame import Frame

Floats = npt.NDArray[np.float64]

MOST = 12  # decimals; a micrometre is 6 of a metre and 11 of a degree
ROUNDING = 4  # units in the last place of a double: what reading and writing may cost


def decimals(coordinates: Floats) -> int | None:
    """Return how many decimals the coordinates are written with.

    Parameters
    ----------
    coordinates : array
        In any one unit. Whole numbers have 0, whole tens too.

    Returns
    -------
    int or None
        None when there are none, and when more than 12 would be needed: such numbers were worked
        out, not written down.

    Examples
    --------
    >>> decimals(np.array([12.5, 3.25, 7.0])), decimals(np.array([1 / 3]))
    (2, None)
    """
    values = np.asarray(coordinates, dtype=np.float64).ravel()
    if not len(values) or not np.isfinite(values).all():
        return None
    slack = ROUNDING * np.spacing(np.abs(values).max())
    for count in range(MOST + 1):
        if 10.0**-count < 2 * slack:
            return None  # finer than a double of this size can hold: any number would pass
        values = values[np.abs(np.round(values, count) - values) > slack]
        if not len(values):
            return count
    return None


def degree_m(latitude: float) -> float:
    """Return the length of a degree of latitude about `latitude` [m].

    Examples
    --------
    >>> round(degree_m(45.0))
    111132
    """
    frame = Frame(0.0, latitude)
    ends = frame.to_metres(np.array([[0.0, latitude - 0.5], [0.0, latitude + 0.5]]))
    return float(ends[1, 1] - ends[0, 1])
