"""Bringing the cut down in steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

SLACK = 0.01  # of a cut: a third that is written 0.333 is a third


def cuts(height_mm: ArrayLike, target_mm: ArrayLike, most_share: float) -> NDArray[np.float64]:
    """Return how many cuts bring grass down to a target; see :func:`cuts_down`.

    Examples
    --------
    >>> cuts([60, 30, 20], [25, 20, 20], 0.333).tolist()
    [3.0, 1.0, 0.0]
    """
    height, target = (np.asarray(each, dtype=np.float64) for each in (height_mm, target_mm))
    if not (np.all(height > 0) and np.all(target > 0) and 0 < most_share < 1):
        raise ValueError("heights must be above zero and the share between 0 and 1")
    number = np.ceil(np.log(target / height) / np.log(1 - most_share) - SLACK)
    return np.where(height <= target, 0.0, np.maximum(number, 1.0))


def cuts_down(height_mm: float, target_mm: float, most_share: float) -> tuple[float, ...]:
    """Return the heights of cut [mm] on the way down, the last being the target.

    Each cut takes at most `most_share` of the height before it, and all take the same share, so
    that no cut is harder than it must be.

    Parameters
    ----------
    height_mm, target_mm : float
        Height of the grass now and at the end [mm].
    most_share : float
        Most of the height one cut may take, above 0 and below 1.

    Returns
    -------
    tuple of float
        Empty when the grass is already at or below the target.

    Examples
    --------
    >>> [round(height, 1) for height in cuts_down(60, 25, 1 / 3)]
    [44.8, 33.5, 25]
    >>> cuts_down(30, 20, 0.333)
    (20,)
    """
    number = int(cuts(height_mm, target_mm, most_share))
    if not number:
        return ()
    step = (target_mm / height_mm) ** (1 / number)
    return (*(height_mm * step**cut for cut in range(1, number)), target_mm)
