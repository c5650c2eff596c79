"""What a few cores or grid points can say, and how many would be needed to say more."""

from __future__ import annotations

import math
from statistics import NormalDist, fmean, stdev
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_SAMPLES = 10_000


def normal_quantile(level: float) -> float:
    """Return z of a two-sided interval at `level` (0.95 gives 1.96)."""
    return NormalDist().inv_cdf(0.5 + level / 2)


def _inside_t(t: float, freedom: int) -> float:
    """Return the probability that Student's t lies within ± `t`, by its finite series.

    Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4 (from memory).
    """
    angle = math.atan2(t, math.sqrt(freedom))
    cosine, odd = math.cos(angle), freedom % 2
    term = cosine if odd else 1.0
    total = term if freedom > 1 else 0.0
    for order in range(2 + odd, freedom - 1, 2):
        term *= cosine**2 * (order - 1) / order
        total += term
    total *= math.sin(angle)
    return 2 / math.pi * (angle + total) if odd else total


def student_quantile(level: float, freedom: int) -> float:
    """Return t of a two-sided interval at `level` with `freedom` degrees of freedom."""
    if freedom < 1:
        raise ValueError("a spread needs at least two samples")
    low, high = 0.0, 1.0
    while _inside_t(high, freedom) < level:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _inside_t(middle, freedom) < level else (low, middle)
    return high


def wilson(hits: int, points: int, level: float = 0.95) -> tuple[float, float]:
    """Return the score interval of a share counted as `hits` out of `points`.

    Source: R. G. Newcombe, Statistics in Medicine 17 (1998), 857-872.

    Examples
    --------
    >>> low, high = wilson(81, 263)
    >>> f"{low:.4f} {high:.4f}"
    '0.2553 0.3662'
    """
    if points < 1 or not 0 <= hits <= points:
        raise ValueError("hits must be from 0 to the number of points, and there must be points")
    z2 = normal_quantile(level) ** 2
    middle = (hits + z2 / 2) / (points + z2)
    half = math.sqrt(z2 * (hits * (points - hits) / points + z2 / 4)) / (points + z2)
    return max(middle - half, 0.0), min(middle + half, 1.0)


def mean_interval(values: Sequence[float], level: float = 0.95) -> tuple[float, float, float]:
    """Return mean, low and high of some measurements, with Student's t.

    Raises
    ------
    ValueError
        For fewer than two values, which have no spread.
    """
    mean = fmean(values)
    half = student_quantile(level, len(values) - 1) * stdev(values) / math.sqrt(len(values))
    return mean, mean - half, mean + half


def samples_for_mean(spread: float, margin: float, level: float = 0.95) -> int:
    """Return the fewest samples whose interval is no wider than ± `margin`.

    The usual n = (t s / d)² asks for t of its own answer and can swing between two numbers for
    ever. Here n is counted up until the interval fits, so it always ends, on the fewest.

    Parameters
    ----------
    spread, margin : float
        Standard deviation and half-width wanted, in the same unit.
    level : float
        Confidence, between 0 and 1.
    """
    if not (spread >= 0 and margin > 0):
        raise ValueError("the margin must be above zero and the spread not below it")
    number = max(2, math.ceil((normal_quantile(level) * spread / margin) ** 2))
    while (
        spread > 0
        and number < MOST_SAMPLES
        and _inside_t(margin * math.sqrt(number) / spread, number - 1) < level
    ):
        number += 1
    return number


def samples_for_share(
    margin: float, *, share: float = 0.5, population: int | None = None, level: float = 0.95
) -> int:
    """Return points needed for a share ± `margin`, fewer out of a small `population`."""
    number = normal_quantile(level) ** 2 * share * (1 - share) / margin**2
    if population is not None:
        number /= 1 + (number - 1) / population
    return math.ceil(number - 1e-9)
