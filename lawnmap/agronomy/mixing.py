"""Water and product in a can, knapsack or tank."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

DISSOLVES = ("dissolves", "near the limit", "will not dissolve")


class Load(NamedTuple):
    """One filled container: product [g or ml], water [l] and the ground it covers [m²]."""

    product: float
    water_l: float
    area_m2: float


def container_load(container_l: float, dose: float, water_l_m2: float) -> Load:
    """Return what goes into one full container and how far it goes.

    Parameters
    ----------
    container_l : float
        What the can or tank holds [l].
    dose : float
        Product on one m² [g/m² or ml/m²].
    water_l_m2 : float
        Water on one m² [l/m²]; a property of the applicator, its nozzle and the label.

    Examples
    --------
    >>> container_load(10, 3.125, 0.625)
    Load(product=50.0, water_l=10, area_m2=16.0)
    """
    if not (container_l > 0 and water_l_m2 > 0 and dose >= 0):
        raise ValueError("container and water must be above zero, and the dose not below it")
    area = container_l / water_l_m2
    return Load(dose * area, container_l, area)


def pegged(area_m2: float, width_m: float) -> tuple[float, float]:
    """Return width and length [m] of the rectangle to peg out for one container."""
    if not width_m > 0:
        raise ValueError("the width of the rectangle must be above zero")
    return width_m, area_m2 / width_m


def water_volume(area_m2: ArrayLike, water_l_m2: ArrayLike) -> NDArray[np.float64]:
    """Return water [l] for an area."""
    return np.asarray(area_m2, dtype=np.float64) * np.asarray(water_l_m2, dtype=np.float64)


def concentration(dose_g_m2: ArrayLike, water_l_m2: ArrayLike) -> NDArray[np.float64]:
    """Return product in the mix [g/l]; infinite when there is no water."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(dose_g_m2, dtype=np.float64) / np.asarray(water_l_m2, dtype=np.float64)


def ceiling(
    water_c: ArrayLike, temperatures_c: ArrayLike, ceilings_g_l: ArrayLike
) -> NDArray[np.float64]:
    """Return the most that dissolves [g/l], read at the next colder temperature of the table.

    Parameters
    ----------
    water_c : array_like
        Temperature of the water [°C]; NaN (not known) and anything colder than the table are read
        at the table's coldest.
    temperatures_c, ceilings_g_l : array_like, shape (k,)
        The table, coldest first.
    """
    table = np.asarray(temperatures_c, dtype=np.float64)
    water = np.nan_to_num(np.asarray(water_c, dtype=np.float64), nan=-np.inf)
    index = np.maximum(np.searchsorted(table, water, side="right") - 1, 0)
    return np.asarray(ceilings_g_l, dtype=np.float64)[index]


def dissolving(
    concentration_g_l: ArrayLike, ceiling_g_l: ArrayLike, warn_share: float
) -> NDArray[np.str_]:
    """Return whether a mix dissolves: one of DISSOLVES.

    Parameters
    ----------
    concentration_g_l, ceiling_g_l : array_like
        From :func:`concentration` and :func:`ceiling`, both as the same salt.
    warn_share : float
        Share of the ceiling above which to warn.
    """
    share = np.asarray(concentration_g_l, dtype=np.float64) / np.asarray(
        ceiling_g_l, dtype=np.float64
    )
    index = np.searchsorted([warn_share, 1.0], share, side="left")
    return np.asarray(DISSOLVES)[index]
