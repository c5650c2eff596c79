"""Full loads and the last part-load, and trips by whatever fills up first."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


class Loads(NamedTuple):
    """Containers for one area: whole ones, and the share (0 up to 1) that the last is filled."""

    full: NDArray[np.float64]
    last_share: NDArray[np.float64]


def loads(area_m2: ArrayLike, area_a_load_m2: ArrayLike) -> Loads:
    """Return full loads and the filling of the last part-load.

    Parameters
    ----------
    area_m2 : array_like
        Ground to cover [m²].
    area_a_load_m2 : array_like
        Ground one full container covers [m²].

    Examples
    --------
    >>> full, last = loads(180, 16)
    >>> float(full), float(last)
    (11.0, 0.25)
    """
    number = np.asarray(area_m2, dtype=np.float64) / np.asarray(area_a_load_m2, dtype=np.float64)
    full = np.floor(number + 1e-9)
    return Loads(full, np.maximum(number - full, 0.0))


def trips(
    litres: ArrayLike, kilograms: ArrayLike, *, volume_l: float, payload_kg: float
) -> NDArray[np.float64]:
    """Return trips for a vehicle that is full by volume or by weight, whichever comes first."""
    if not (volume_l > 0 and payload_kg > 0):
        raise ValueError("a vehicle must hold something")
    by_volume = np.asarray(litres, dtype=np.float64) / volume_l
    by_weight = np.asarray(kilograms, dtype=np.float64) / payload_kg
    return np.ceil(np.maximum(by_volume, by_weight) - 1e-9)
