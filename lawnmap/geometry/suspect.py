"""Which control point is most likely wrong, when the others leave no doubt."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.fit import LEAST, Affine, Similarity, fitted

Floats = npt.NDArray[np.float64]

CHANCE = 0.05  # that a point is named although chance alone did it


class Suspect(NamedTuple):
    """A control point that is most likely wrong."""

    which: int  # counted from 0
    off: Floats  # (2,) where the others put it less where it was given, in target units
    within: float  # the largest distance by which the others disagree without it


def suspect(source: Floats, target: Floats, kind: str, floor: float = 0.0) -> Suspect | None:
    """Return the one control point that is most likely wrong, when the rest leave no doubt.

    Each point is left out in turn. Leaving it out is the same as letting it lie anywhere, which
    takes two from the spare coordinates; m are left. The squares of the residuals that stay, over
    those of all, to the power m/2 is the chance to gain as much if nothing were wrong (the F
    distribution with 2 and m degrees of freedom has this closed form). A point is named when that
    chance, times the number of points tried, is below 5 %, leaving out any other point does plainly
    worse by the same measure, and it is more than `floor` off.

    Parameters
    ----------
    source, target : (n, 2) arrays
    kind : str
        ``similarity``, which takes four points or more, or ``affine``, which takes five.
    floor : float
        What is never called wrong, in target units.
    """
    if len(source) < LEAST[kind] + 2:
        return None
    whole = fitted(source, target, kind)
    without = [_without(source, target, kind, index) for index in range(len(source))]
    # Where the others lie on a line a point cannot be left out: nothing would check it.
    left = {index: fit for index, fit in enumerate(without) if fit is not None}
    order = sorted(left, key=lambda index: _squares(left[index]))
    if len(order) < 2:  # noqa: PLR2004 - with nothing to set against it no point is the worse
        return None
    best, second = order[:2]
    rest, half = _squares(left[best]), left[best].spare / 2
    by_chance = len(source) * _share(rest, _squares(whole)) ** half
    as_good = _share(rest, _squares(left[second])) ** half
    off = left[best].apply(source[[best]])[0] - target[best]
    if by_chance >= CHANCE or as_good >= CHANCE or float(np.hypot(*off)) <= floor:
        return None
    return Suspect(best, off, float(np.hypot(*left[best].residuals.T).max()))


def _without(source: Floats, target: Floats, kind: str, index: int) -> Similarity | Affine | None:
    try:
        return fitted(np.delete(source, index, axis=0), np.delete(target, index, axis=0), kind)
    except ValueError:
        return None


def _squares(fit: Similarity | Affine) -> float:
    return float((fit.residuals**2).sum())


def _share(part: float, whole: float) -> float:
    return part / whole if whole > 0 else 1.0
