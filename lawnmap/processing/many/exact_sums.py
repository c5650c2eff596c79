"""Sums of many groups that are the same in any order, as ``math.fsum`` gives them, but fast.

Figures are cut into layers of so few binary digits that a plain sum of a layer loses nothing; what
is left to round is a handful of numbers a group. The cut is the error-free splitting of
T. J. Dekker, "A floating-point technique for extending the available precision", Numerische
Mathematik 18 (1971), used with a common unit for a whole layer (from memory).
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Codes = npt.NDArray[np.intp]

DIGITS = 53  # of a double (IEEE 754 binary64)
LAYERS = 42  # from the largest double to the smallest there are no more, of 50 digits each


def exact_sums(layers: list[Floats], groups: Codes, count: int) -> Floats:
    """Return the sum of each group, rounded once.

    Parameters
    ----------
    layers : list of (n,) array
        Figures as :func:`cut` gives them.
    groups : (n,) array of int
        Group of each figure.
    count : int
        How many groups there are.

    Returns
    -------
    (count,) array
        0 for a group without a figure.
    """
    parts: list[Floats] = [
        np.bincount(groups, layer, minlength=count).astype(np.float64) for layer in layers
    ]
    if not parts:
        return np.zeros(count)
    total, inexact = parts[0], np.zeros(count, dtype=bool)
    for part in parts[1:]:
        found = total + part
        # What was lost in that sum (D. E. Knuth, The Art of Computer Programming 2, 4.2.2).
        kept = found - total
        inexact |= ((total - (found - kept)) + (part - kept)) != 0
        total = found
    for place in np.flatnonzero(inexact):
        total[place] = math.fsum(part[place] for part in parts)
    return total


def cut(figures: Floats) -> list[Floats]:
    """Return layers that add up to the figures, of which any plain sum is exact.

    Raises
    ------
    ValueError
        For a figure that is not finite.
    """
    rest = np.array(figures, dtype=np.float64)
    if not np.isfinite(rest).all():
        raise ValueError("only finite figures have a sum")
    digits = DIGITS - 1 - math.ceil(math.log2(len(rest) + 1))
    layers: list[Floats] = []
    while rest.any() and len(layers) < LAYERS:
        top = math.frexp(float(np.abs(rest).max()))[1]
        unit = math.ldexp(1.0, max(top - digits, -1074))
        layer = np.rint(rest / unit) * unit
        layers.append(layer)
        rest = rest - layer
    return layers
