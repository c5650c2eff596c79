"""What thatch allows: whether to scarify at all, how deep and how often.

No published figure says how much thatch one pass takes out, so a number of passes is always the
most, with the rule to stop when soil shows in the slots or live grass comes out by its roots.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

STATES = ("leave", "scarify", "staged", "too deep")
UNKNOWN = -1


def state(
    thickness_mm: ArrayLike, *, act_mm: ArrayLike, staged_mm: ArrayLike, too_deep_mm: ArrayLike
) -> NDArray[np.int8]:
    """Return what the thickness calls for; a limit belongs to the stronger answer.

    Parameters
    ----------
    thickness_mm : array_like, shape (n,)
        Thatch thickness [mm]. For a rating give the lower edge of its class. NaN where unknown.
    act_mm, staged_mm, too_deep_mm : array_like
        Thickness [mm] from which to scarify, from which not to take it out in one season, and from
        which scarifying would destroy the surface (hollow coring, years of work, or a new start).

    Returns
    -------
    ndarray of int, shape (n,)
        Place in STATES; UNKNOWN where the thickness is.

    Raises
    ------
    ValueError
        When the limits do not rise.
    """
    act, staged, too_deep = (np.asarray(each) for each in (act_mm, staged_mm, too_deep_mm))
    if not np.all((act > 0) & (act <= staged) & (staged <= too_deep)):
        raise ValueError("the limits for thatch must rise from act to staged to too deep")
    thickness = np.asarray(thickness_mm, dtype=np.float64)
    passed = sum((thickness >= limit).astype(np.int8) for limit in (act, staged, too_deep))
    return np.where(np.isnan(thickness), np.int8(UNKNOWN), passed)


def depth_range(
    low_mm: ArrayLike,
    high_mm: ArrayLike,
    *,
    weak: ArrayLike = False,
    hidden_mm: ArrayLike = np.nan,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the setting to start at and the deepest to come down to [mm].

    Parameters
    ----------
    low_mm, high_mm : array_like
        Working depth for the turf type [mm], from its own datum (see the values).
    weak : array_like of bool
        Grass comes up when pulled, or is too shaded to hold: stay at the start.
    hidden_mm : array_like
        Depth [mm] of the shallowest wire or pipe in the zone; NaN when there is none. Blades stay
        above half of it.
    """
    low = np.asarray(low_mm, dtype=np.float64)
    high = np.where(np.asarray(weak, dtype=bool), low, np.asarray(high_mm, dtype=np.float64))
    ceiling = np.asarray(hidden_mm, dtype=np.float64) / 2
    ceiling = np.where(np.isnan(ceiling), np.inf, ceiling)
    return np.minimum(low, ceiling), np.minimum(high, ceiling)


def passes(
    for_thatch: ArrayLike,
    for_moss: ArrayLike,
    *,
    too_deep: ArrayLike = False,
    weak: ArrayLike = False,
) -> NDArray[np.float64]:
    """Return the most passes over a zone: what thatch or moss asks for, the more of the two.

    Thatch that is too deep to scarify out has the last word, and weak grass gets one pass fewer,
    but not none.

    Parameters
    ----------
    for_thatch, for_moss : array_like
        Most passes for the zone's thatch and moss class.
    too_deep : array_like of bool
        Whether the thatch is: see :func:`state`.
    weak : array_like of bool
        As in :func:`depth_range`.
    """
    thatch = np.asarray(for_thatch, dtype=np.float64)
    most = np.where(
        np.asarray(too_deep, dtype=bool),
        thatch,
        np.maximum(thatch, np.asarray(for_moss, dtype=np.float64)),
    )
    fewer = np.minimum(most, np.maximum(most - 1, 1))
    return np.where(np.asarray(weak, dtype=bool), fewer, most)


def slots_l_m2(depth_mm: float, width_mm: float, spacing_mm: float) -> float:
    """Return the sand that fills the slots of deep scarifying on one m² [l].

    Parameters
    ----------
    depth_mm, width_mm : float
        Of one slot [mm].
    spacing_mm : float
        From one slot to the next [mm].

    Examples
    --------
    >>> slots_l_m2(40, 3, 40)
    3.0
    """
    if not (depth_mm >= 0 and 0 < width_mm <= spacing_mm):
        raise ValueError("slots must be wider than nothing and no wider than their spacing")
    return depth_mm * width_mm / spacing_mm
