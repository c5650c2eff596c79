"""Nitrogen, counted from everything that carries it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def nitrogen(product_g_m2: ArrayLike, nitrogen_pct: float) -> NDArray[np.float64]:
    """Return nitrogen [g/m²] in a rate of product [g/m²] with `nitrogen_pct` N."""
    return np.asarray(product_g_m2, dtype=np.float64) * nitrogen_pct / 100


def feed_rate(nitrogen_g_m2: ArrayLike, nitrogen_pct: float) -> NDArray[np.float64]:
    """Return feed [g/m²] that brings `nitrogen_g_m2`."""
    share = nitrogen_pct / 100
    if not 0 < share <= 1:
        raise ValueError("a feed has more than 0 and at most 100 % nitrogen")
    return np.asarray(nitrogen_g_m2, dtype=np.float64) / share


def still_wanted(
    wanted_g_m2: ArrayLike, given_g_m2: ArrayLike, most_g_m2: float = np.inf
) -> NDArray[np.float64]:
    """Return nitrogen [g/m²] still to give.

    Parameters
    ----------
    wanted_g_m2 : array_like
        Nitrogen aimed at.
    given_g_m2 : array_like
        Nitrogen from lawn sand and earlier feeds, whoever put them on.
    most_g_m2 : float
        Most in one application: label, law or client.
    """
    rest = np.asarray(wanted_g_m2, dtype=np.float64) - np.asarray(given_g_m2, dtype=np.float64)
    return np.clip(rest, 0.0, most_g_m2)
