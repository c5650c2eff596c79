"""All measures of a survey at once: the places of its points by least squares."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.measures import Measures

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

ROUNDS = 60
HALVINGS = 12
SETTLED_M = 1e-9  # step at which the search ends
GAIN = 1.0  # of chi2 in the last round that will do: no measure moves by its standard error
SINGULAR = 1e-12  # of the largest eigenvalue, both after scaling to ones on the diagonal
CHECKED = 0.01  # least redundancy number of a measure that others check at all
CLEAR = 0.1  # least redundancy number of a measure that may be named as the wrong one
SNOOP = 3.29  # two-sided 0.1 % of the normal law; Baarda's usual choice for data snooping
# Leaving a measure out betters chi2 by the square of its standardised residual. Of two that differ
# in that by less than SNOOP² (odds of 220 to 1) it cannot be told which is wrong. Nor can it when
# they are this near in ratio: errors may be too large to reckon by small changes (by trial).
TIMES = 1.05
HIGH = 2.326  # one-sided 1 % of the normal law, for the test of all measures together


class Loose(ValueError):
    """The measures do not fix every point.

    Attributes
    ----------
    points : tuple of int
        The points that can move, the freest first.
    """

    def __init__(self, points: tuple[int, ...]) -> None:
        super().__init__(f"points {points} are not fixed")
        self.points = points


@dataclass(frozen=True)
class Adjustment:
    """Where the points are, and how well the measures agree.

    Attributes
    ----------
    xy : (n, 2) array
        East and north [m].
    covariance : (2n, 2n) array
        Of x0, y0, x1, y1, … [m²], from the standard errors given; zero for what was held.
    residual : (m,) array
        Adjusted less measured [m; rad].
    redundancy : (m,) array
        How much of an error in a measure shows in its own residual, 0 to 1.
    standardised : (m,) array
        Residuals over their own standard errors; 0 for a measure that nothing checks.
    spare : int
        Measures beyond those needed.
    chi2 : float
        Sum of (residual / standard error)².
    """

    xy: Floats
    covariance: Floats
    residual: Floats
    redundancy: Floats
    standardised: Floats
    spare: int
    chi2: float

    @property
    def s0(self) -> float:
        """How the measures scatter against the standard errors given; 1 as expected."""
        return math.sqrt(self.chi2 / self.spare) if self.spare > 0 else 1.0

    @property
    def agrees(self) -> bool:
        """Whether s0 is no higher than chance gives 99 times in 100 (Wilson and Hilferty)."""
        if self.spare <= 0:
            return True
        part = 2 / (9 * self.spare)
        return self.chi2 <= self.spare * (1 - part + HIGH * math.sqrt(part)) ** 3

    @property
    def inflation(self) -> float:
        """What standard errors are multiplied by: s0 when the measures do not agree, else 1."""
        return 1.0 if self.agrees else self.s0

    @property
    def errors(self) -> Floats:
        """How much larger each measure is than the others allow [m; rad]; 0 where unchecked."""
        checked = self.redundancy > CHECKED
        errors: Floats = np.where(
            checked, -self.residual / np.where(checked, self.redundancy, 1.0), 0.0
        )
        return errors

    @property
    def suspect(self) -> int | None:
        """The one measure that is plainly wrong, when the others can tell."""
        alike = self.alike
        if len(alike) != 1:
            return None
        sizes, worst = np.abs(self.standardised), alike[0]
        return worst if sizes[worst] > SNOOP and self.redundancy[worst] > CLEAR else None

    @property
    def alike(self) -> list[int]:
        """The measure furthest off and those that cannot be told from it, furthest first."""
        sizes = np.abs(self.standardised)
        order = [int(each) for each in np.argsort(-sizes, kind="stable")]
        worst = float(sizes[order[0]]) if order else 0.0
        near = [max(size * TIMES, math.sqrt(size**2 + SNOOP**2)) >= worst > 0 for size in sizes]
        return [each for each in order if near[each]]

    def corner_sigma(self, corners: Whole) -> float:
        """Return the standard error of one corner that gives an outline's area its own [m].

        The corners of a network are out together, not each for itself. This is the error, the same
        for every corner in each direction and independent, under which the area by coordinates has
        the standard error that the whole covariance gives it: ``√(gᵀ C g) / |g|``, with g how the
        area changes as each corner moves.

        Parameters
        ----------
        corners : (n,) array
            Numbers of the points in the order walked.
        """
        x, y = self.xy[corners].T
        g = np.zeros(self.xy.size)
        np.add.at(g, 2 * corners, (np.roll(y, -1) - np.roll(y, 1)) / 2)
        np.add.at(g, 2 * corners + 1, (np.roll(x, 1) - np.roll(x, -1)) / 2)
        size = float(g @ g)
        variance = float(g @ self.covariance @ g)
        return self.inflation * math.sqrt(max(variance, 0.0) / size) if size > 0 else 0.0


def adjust(start: Floats, measures: Measures, held: Flags) -> Adjustment:
    """Return the places of the points that fit all measures best, by Gauss and Newton.

    Parameters
    ----------
    start : (n, 2) array
        Places to begin from [m].
    measures : Measures
    held : (n, 2) array of bool
        Coordinates that stay: two of one point, and one more when there is no bearing.

    Raises
    ------
    Loose
        When the measures do not fix every point.
    ValueError
        When no best place is found.

    References
    ----------
    Ghilani and Wolf, Adjustment Computations, chapters on trilateration and on blunders; redundancy
    numbers and data snooping after W. Baarda, A testing procedure for use in geodetic networks
    (1968).
    """
    xy = start.astype(np.float64).copy()
    free = ~held.ravel()
    cost, gain = _cost(xy, measures), 0.0
    for _ in range(ROUNDS):
        weighted = measures.slopes(xy)[:, free] / measures.sigma[:, None]
        step = np.zeros(xy.size)
        step[free] = _solve(weighted, -measures.misfit(xy) / measures.sigma, free)
        if float(np.abs(step).max(initial=0.0)) < SETTLED_M:
            break
        for _half in range(HALVINGS):
            tried = xy + step.reshape(-1, 2)
            reached = _cost(tried, measures)
            if reached < cost:
                break
            step /= 2
        else:
            break  # no way down from here within the digits there are
        xy, cost, gain = tried, reached, cost - reached
    else:
        if gain > GAIN:
            raise ValueError("the measures do not settle on one place for every point")
    return judge(xy, measures, held)


def judge(xy: Floats, measures: Measures, held: Flags) -> Adjustment:
    """Return how well points that were found, by whatever rule, agree with the measures.

    Raises
    ------
    Loose
        When the measures do not fix every point.
    """
    free = ~held.ravel()
    weighted = measures.slopes(xy)[:, free] / measures.sigma[:, None]
    inside = _inverse(weighted, free)
    covariance = np.zeros((xy.size, xy.size))
    covariance[np.ix_(free, free)] = inside
    residual = measures.misfit(xy)
    redundancy = np.clip(1 - ((weighted @ inside) * weighted).sum(axis=1), 0.0, 1.0)
    scaled = residual / measures.sigma
    checked = redundancy > CHECKED
    root = np.sqrt(np.where(checked, redundancy, 1.0))
    return Adjustment(
        xy,
        covariance,
        residual,
        redundancy,
        np.where(checked, scaled / root, 0.0),
        len(residual) - int(free.sum()),
        float((scaled**2).sum()),
    )


def _cost(xy: Floats, measures: Measures) -> float:
    return float(((measures.misfit(xy) / measures.sigma) ** 2).sum())


def _solve(weighted: Floats, wanted: Floats, free: Flags) -> Floats:
    """Return the step; the normal matrix is scaled, so that bearings and metres weigh alike."""
    scale = _scale(weighted, free)
    normal = (weighted / scale).T @ (weighted / scale)
    try:
        step: Floats = np.linalg.solve(normal, (weighted / scale).T @ wanted) / scale
    except np.linalg.LinAlgError:
        raise Loose(_loosest(np.linalg.eigh(normal)[1][:, 0], free)) from None
    return step


def _inverse(weighted: Floats, free: Flags) -> Floats:
    scale = _scale(weighted, free)
    size, way = np.linalg.eigh((weighted / scale).T @ (weighted / scale))
    if size[0] <= SINGULAR * size[-1]:
        raise Loose(_loosest(way[:, 0], free))
    inverse: Floats = (way / size) @ way.T / np.outer(scale, scale)
    return inverse


def _scale(weighted: Floats, free: Flags) -> Floats:
    """Return the length of each column; a column of nothing is a coordinate nothing holds."""
    scale: Floats = np.sqrt((weighted**2).sum(axis=0))
    if (scale == 0).any():
        raise Loose(_loosest((scale == 0).astype(np.float64), free))
    return scale


def _loosest(way: Floats, free: Flags) -> tuple[int, ...]:
    """Return the points that move most when all move `way`."""
    whole = np.zeros(len(free))
    whole[free] = np.abs(way)
    moves = whole.reshape(-1, 2).max(axis=1)
    order = np.argsort(-moves, kind="stable")
    return tuple(int(each) for each in order if moves[each] > moves.max() / 2)
