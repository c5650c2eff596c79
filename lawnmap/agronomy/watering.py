"""Water for new seed: litres a day and minutes of tap."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def litres_a_day(area_m2: ArrayLike, depth_mm: ArrayLike) -> NDArray[np.float64]:
    """Return litres a day for `depth_mm` of water: 1 mm on 1 m² is 1 l."""
    return np.asarray(area_m2, dtype=np.float64) * np.asarray(depth_mm, dtype=np.float64)


def tap_minutes(litres: ArrayLike, flow_l_min: float) -> NDArray[np.float64]:
    """Return minutes of a tap that gives `flow_l_min` [l/min]."""
    if not flow_l_min > 0:
        raise ValueError("a tap must give more than no water")
    return np.asarray(litres, dtype=np.float64) / flow_l_min
