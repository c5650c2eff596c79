"""Warmth that grass grows on.

The base is always printed with a sum of degree days: 0, 6 and 10 °C are all in use.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def degree_days(highest: ArrayLike, lowest: ArrayLike, base: float) -> NDArray[np.float64]:
    """Return growing-degree days of each day, in the unit of the temperatures.

    Parameters
    ----------
    highest, lowest : array_like
        Highest and lowest temperature of the day.
    base : float
        Temperature below which nothing counts; a day below it counts nothing, never less.
    """
    middle = (np.asarray(highest, dtype=np.float64) + np.asarray(lowest, dtype=np.float64)) / 2
    return np.maximum(middle - base, 0.0)
