"""Seed for the sward as it will be after the blades, not as it was surveyed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def pure_live_seed(purity_pct: float, germination_pct: float) -> float:
    """Return the share of a bag that is pure live seed, 0 to 1.

    Examples
    --------
    >>> round(pure_live_seed(85, 75), 4)
    0.6375
    """
    purity, germination = purity_pct / 100, germination_pct / 100
    if not (0 < purity <= 1 and 0 < germination <= 1):
        raise ValueError("purity and germination are above 0 and at most 100 %")
    return purity * germination


def bulk(pure_g: ArrayLike, share: float) -> NDArray[np.float64]:
    """Return seed as it comes from the bag [g] that holds `pure_g` of pure live seed."""
    if not 0 < share <= 1:
        raise ValueError("the share of pure live seed is above 0 and at most 1")
    return np.asarray(pure_g, dtype=np.float64) / share


def seed_needed(
    area_m2: ArrayLike,
    bare_low_pct: ArrayLike,
    bare_high_pct: ArrayLike,
    *,
    bare_g_m2: ArrayLike,
    thin_g_m2: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the least and most seed [g] for a zone.

    Bare ground is sown at the rate for a new lawn, the thinned sward between at the rate for
    overseeding. Buy for the most; set the rate after the last pass.

    Parameters
    ----------
    area_m2 : array_like
        Ground area [m²].
    bare_low_pct, bare_high_pct : array_like
        Bare ground after the blades [%].
    bare_g_m2, thin_g_m2 : array_like
        Rates [g/m²] on bare ground and on the sward between.
    """
    area = np.asarray(area_m2, dtype=np.float64)
    on_bare, on_thin = (np.asarray(each, dtype=np.float64) for each in (bare_g_m2, thin_g_m2))
    ends = []
    for bare_pct in (bare_low_pct, bare_high_pct):
        bare = np.clip(np.asarray(bare_pct, dtype=np.float64), 0, 100) / 100
        ends.append(area * (bare * on_bare + (1 - bare) * on_thin))
    return np.minimum(*ends), np.maximum(*ends)
