"""A surface between measured places, each weighed by its distance, and how far off it is.

Inverse distance says no more than the places do: between them it lies between them. How well it
tells a place it was not shown is found by leaving out each place in turn.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

POWER = 2.0
BLOCK = 2_000_000  # distances held at once


def surface(places: Floats, values: Floats, at: Floats, power: float = POWER) -> Floats:
    """Return the values at other places; at a measured place its own value.

    Parameters
    ----------
    places : (n, 2) array
        Where it was measured [m].
    values : (n,) array
        In any unit.
    at : (m, 2) array
        Where it is wanted [m].
    power : float
        Of the distance, above zero.

    Returns
    -------
    (m,) array
        In the unit of the values; where several were measured at one place, their mean.

    Examples
    --------
    >>> places, values = np.array([[0.0, 0], [4, 0]]), np.array([10.0, 20])
    >>> surface(places, values, np.array([[0.0, 0], [2, 0], [3, 0]])).tolist()
    [10.0, 15.0, 19.0]
    """
    if not len(places):
        raise ValueError("a surface needs at least one measured place")
    step = max(1, BLOCK // len(places))
    blocks = [
        _weighed(_apart(at[start : start + step], places), values, power)
        for start in range(0, len(at), step)
    ]
    return np.concatenate(blocks) if blocks else np.zeros(0)


def left_out(places: Floats, values: Floats, power: float = POWER) -> Floats:
    """Return what the others say of each place less what was measured there, (n,).

    Raises
    ------
    ValueError
        For fewer than two places.
    """
    if len(places) < 2:  # noqa: PLR2004 - one place has no others
        raise ValueError("to leave one out there must be two measured places")
    apart = _apart(places, places)
    np.fill_diagonal(apart, np.inf)
    return _weighed(apart, values, power) - values


def _apart(some: Floats, others: Floats) -> Floats:
    found: Floats = np.hypot(
        some[:, None, 0] - others[None, :, 0], some[:, None, 1] - others[None, :, 1]
    )
    return found


def _weighed(apart: Floats, values: Floats, power: float) -> Floats:
    nearest = apart.min(axis=1, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        # Against the nearest, so that no power of a small distance leaves the numbers.
        weight = np.where(nearest > 0, (nearest / apart) ** power, apart == 0)
    found: Floats = (weight * values).sum(axis=1) / weight.sum(axis=1)
    return found
