"""Top-dressing by volume, weight and barrow."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def volume_m3(area_m2: ArrayLike, depth_mm: ArrayLike) -> NDArray[np.float64]:
    """Return dressing [m³] for a depth [mm] on an area [m²]."""
    return np.asarray(area_m2, dtype=np.float64) * np.asarray(depth_mm, dtype=np.float64) / 1000


def mass_t(volume: ArrayLike, density_kg_m3: ArrayLike) -> NDArray[np.float64]:
    """Return tonnes from m³ and bulk density [kg/m³]."""
    return np.asarray(volume, dtype=np.float64) * np.asarray(density_kg_m3, dtype=np.float64) / 1000


def barrows(volume: ArrayLike, barrow_l: float) -> NDArray[np.float64]:
    """Return whole barrow loads of `barrow_l` litres for m³ of dressing."""
    if not barrow_l > 0:
        raise ValueError("a barrow must hold something")
    return np.ceil(np.asarray(volume, dtype=np.float64) * 1000 / barrow_l - 1e-9)
