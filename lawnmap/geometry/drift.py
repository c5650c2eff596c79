"""How far the area of a walked outline may be out, when errors of successive fixes go together.

A receiver's error drifts: fixes a second apart share nearly all of it, fixes some minutes apart
little. Taken as independent, hundreds of fixes would average out to an error far too small. Here
the error of each direction is a first-order Gauss-Markov process along the walk. That fits the
errors of single-frequency receivers better than independent ones do: "Comparison of Enhanced Noise
Model Performance Based on Analysis of Civilian GPS Data", Sensors 20(21) (2020) 6050, abstract.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


def area_sigma(ring: Floats, sigma: float, reach: float) -> float:
    """Return the standard error of the area of a walked ring.

    With d(i) = P(i+1) - P(i-1) and covariances ``C(i,j) = sigma² exp(-|s(i) - s(j)| / reach)``,
    the variance is 1/4 sum of d(i)·d(j) C(i,j), and, since the area is not linear in the errors,
    the variance of the area that the errors enclose by themselves.

    Parameters
    ----------
    ring : (n, 2) array
        Metres, in the order walked, the first point not repeated.
    sigma : float
        Standard error of a fix in each direction [m].
    reach : float
        How far along the walk errors go together: where their correlation is 1/e [m].

    Returns
    -------
    float
        Square metres. Short reaches give the formula of :mod:`lawnmap.geometry.uncertainty`; a
        reach far longer than the walk gives nothing, as the whole outline is then only moved.
    """
    spans = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    steps = np.hypot(*np.diff(ring, axis=0).T) / reach
    kept = np.exp(-steps)
    linear = _summed(spans, kept) / 4
    whole = float(steps.sum())
    # Gauss-Markov errors of two sides that do not touch are independent given those between, so
    # only the sides themselves are left, and the closing side against each other one.
    closing = math.exp(-whole)
    against = np.exp(steps - whole) - np.exp(-steps - whole)
    enclosed = float((1 - kept**2).sum()) + 1 - closing**2 - 2 * float(against.sum())
    return math.sqrt(sigma**2 * max(linear, 0.0) + sigma**4 / 2 * max(enclosed, 0.0))


def _summed(spans: Floats, kept: Floats) -> float:
    """Return the sum over all pairs of d(i)·d(j) times their correlation, in one go along the walk.

    Exponential correlation is a product along the walk, so what all earlier points add to a pair
    is carried on from point to point.
    """
    total, before_x, before_y = 0.0, 0.0, 0.0
    for (x, y), fade in zip(spans.tolist(), [*kept.tolist(), 0.0], strict=True):
        total += x * x + y * y + 2 * (x * before_x + y * before_y)
        before_x, before_y = fade * (before_x + x), fade * (before_y + y)
    return total
