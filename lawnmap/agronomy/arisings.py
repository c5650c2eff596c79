"""What comes off: litres, kilograms, bags and bins, always as a low and a high.

What people tell of their lawns differs twentyfold, so there is no mean here. Clear, carry and
price for the high end.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Pair = tuple[NDArray[np.float64], NDArray[np.float64]]


def litres_by_class(area_m2: ArrayLike, low_l_m2: ArrayLike, high_l_m2: ArrayLike) -> Pair:
    """Return loose litres (low, high) from an area [m²] and the band of its class [l/m²]."""
    area = np.asarray(area_m2, dtype=np.float64)
    return area * np.asarray(low_l_m2, dtype=np.float64), area * np.asarray(
        high_l_m2, dtype=np.float64
    )


def litres_by_depth(
    area_m2: ArrayLike,
    depth_mm: ArrayLike,
    cover_low_pct: ArrayLike,
    cover_high_pct: ArrayLike,
    *,
    share_low: float,
    share_high: float,
    bulking_low: float,
    bulking_high: float,
) -> Pair:
    """Return loose litres (low, high) of moss from its depth; 1 mm on 1 m² is 1 l in place.

    Parameters
    ----------
    area_m2, depth_mm : array_like
        Ground [m²] and depth of moss, pressed lightly [mm].
    cover_low_pct, cover_high_pct : array_like
        Moss cover [%].
    share_low, share_high : float
        Share of the moss that comes out, 0 to 1.
    bulking_low, bulking_high : float
        Loose volume over volume in place.
    """
    in_place = np.asarray(area_m2, dtype=np.float64) * np.asarray(depth_mm, dtype=np.float64)
    low = in_place * np.asarray(cover_low_pct, dtype=np.float64) / 100 * share_low * bulking_low
    high = in_place * np.asarray(cover_high_pct, dtype=np.float64) / 100 * share_high * bulking_high
    return low, high


def mass_kg(litres: Pair, density_low_kg_m3: float, density_high_kg_m3: float) -> Pair:
    """Return kilograms (low, high) from litres and bulk density [kg/m³]."""
    return litres[0] * density_low_kg_m3 / 1000, litres[1] * density_high_kg_m3 / 1000


def containers(litres: ArrayLike, container_l: float) -> NDArray[np.float64]:
    """Return whole bags, bins or boxes of `container_l` for some litres."""
    if not container_l > 0:
        raise ValueError("a bag or bin must hold something")
    return np.ceil(np.asarray(litres, dtype=np.float64) / container_l - 1e-9)
