"""Turn a measurement into a class and a class into the band it stands for.

Bands are pairs of lower and upper edge in the order of the classes. They are half-open: the lower
edge belongs to the class. A band of no width (moss: none) holds its own value and nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

Bands = Sequence[tuple[float, float]]


def rating(value: ArrayLike, bands: Bands) -> NDArray[np.float64]:
    """Return the class a measured value lies in.

    Parameters
    ----------
    value : array_like, shape (n,)
        Measured values in the unit of `bands`; NaN where nothing was measured.
    bands : sequence of (lower, upper)
        One band a class, the lowest class first.

    Returns
    -------
    ndarray, shape (n,)
        Class numbers from 0; NaN stays NaN.

    Examples
    --------
    >>> rating([0.0, 4.9, 5.0, 25.0], [(0, 0), (0, 5), (5, 25), (25, 50)]).tolist()
    [0.0, 1.0, 2.0, 3.0]
    """
    measured = np.asarray(value, dtype=np.float64)
    starts = [
        np.nextafter(lower, np.inf) if before_lower == before_upper else lower
        for (before_lower, before_upper), (lower, _) in pairwise(bands)
    ]
    found = np.searchsorted(np.asarray(starts, dtype=np.float64), measured, side="right")
    return np.where(np.isnan(measured), np.nan, found.astype(float))


def band(classes: ArrayLike, bands: Bands) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the lower and upper edge of each class; a class never becomes a single value.

    Parameters
    ----------
    classes : array_like, shape (n,)
        Class numbers from 0; NaN where nobody rated.
    bands : sequence of (lower, upper)
        An open upper edge is ``inf``.

    Raises
    ------
    ValueError
        For a class that the scale does not have.
    """
    rated = np.asarray(classes, dtype=np.float64)
    known = ~np.isnan(rated)
    place = np.where(known, rated, 0)
    if np.any((place < 0) | (place >= len(bands)) | (place != np.trunc(place))):
        raise ValueError(f"classes of this scale are whole numbers from 0 to {len(bands) - 1}")
    lower, upper = (np.take(edge, place.astype(np.intp)) for edge in np.asarray(bands).T)
    return np.where(known, lower, np.nan), np.where(known, upper, np.nan)


def assessed(
    measured: ArrayLike, classes: ArrayLike, bands: Bands
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the lowest and highest value an assessment allows: a measurement beats a class.

    Returns
    -------
    low, high : ndarray, shape (n,)
        Both the measurement where there is one, else the edges of the class, else NaN.
    """
    value = np.asarray(measured, dtype=np.float64)
    low, high = band(classes, bands)
    return np.where(np.isnan(value), low, value), np.where(np.isnan(value), high, value)
