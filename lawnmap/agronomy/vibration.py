"""Hand-arm vibration of a day, in the exposure points of the British regulator's ready reckoner.

Points of several machines used by one person on one day add up.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def points(acceleration_m_s2: ArrayLike, hours_a_day: ArrayLike) -> NDArray[np.float64]:
    """Return exposure points of a day: 2 a² t.

    Parameters
    ----------
    acceleration_m_s2 : array_like
        Vibration at the handle, frequency-weighted, as the manual states it [m/s²].
    hours_a_day : array_like
        Hours with the hands on the running machine [h].

    Examples
    --------
    >>> float(points(5, 3))
    150.0
    """
    squared = np.asarray(acceleration_m_s2, dtype=np.float64) ** 2
    return 2 * squared * np.asarray(hours_a_day, dtype=np.float64)


def hours_until(
    acceleration_m_s2: ArrayLike, most_points: float, already: ArrayLike = 0.0
) -> NDArray[np.float64]:
    """Return the hours a day until `most_points` are reached, never below none.

    Parameters
    ----------
    acceleration_m_s2 : array_like
        As in :func:`points`; above 0.
    most_points : float
        Where to stop: the action value is 100 points, the limit 400.
    already : array_like
        Points of the same day from other machines.
    """
    squared = np.asarray(acceleration_m_s2, dtype=np.float64) ** 2
    if not (squared > 0).all():
        raise ValueError("a machine that does not vibrate has no hours to count")
    left = np.maximum(most_points - np.asarray(already, dtype=np.float64), 0.0)
    return left / (2 * squared)
