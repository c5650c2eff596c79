"""Warmth of the soil through the year, day by day, and what it lets grass do.

Series run one value a day without a gap in the days; a day nobody measured is NaN, and a day
without a figure forbids nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Series = NDArray[np.float64]
    Mask = NDArray[np.bool_]

DAYS_IN_LEAP_YEAR = 366
LEAP_DAY = 59  # counted from 0


def running_mean(values: Series, days: int) -> Series:
    """Return the mean of each day and the days before it, `days` in all.

    A day where half of them or more are missing has none.
    """
    if not len(values):
        return values
    window = np.ones(days)
    there = ~np.isnan(values)
    count = np.convolve(there, window)[: len(values)]
    total = np.convolve(np.where(there, values, 0.0), window)[: len(values)]
    return np.where(2 * count > days, total / np.maximum(count, 1), np.nan)


def mean_year(day_of_year: NDArray[np.int64], values: Series) -> Series:
    """Return the mean of each day of a leap year over the years of a series.

    Parameters
    ----------
    day_of_year : (n,) array of int
        0 for 1 January to 365 for 31 December, counted as in a leap year.
    values : (n,) array
    """
    there = ~np.isnan(values)
    day, size = day_of_year[there], DAYS_IN_LEAP_YEAR
    count = np.bincount(day, minlength=size)
    total = np.bincount(day, weights=values[there], minlength=size)
    mean = np.where(count > 0, total / np.maximum(count, 1), np.nan)
    if np.isnan(mean[LEAP_DAY]):
        mean[LEAP_DAY] = mean[LEAP_DAY - 1]
    return mean


def spring_open(
    soil_c: Series, in_spring: Mask, *, from_c: float, floor_c: float, over_days: int
) -> Mask:
    """Tell on which days of spring the soil is warm enough.

    A spring opens on the first day that is at or above `from_c` and warmer than `over_days`
    before; from then on each of its days is open that is at or above `floor_c`. A warm day with no
    figure so long before it is open too, but opens no spring.

    Parameters
    ----------
    soil_c : (n,) array
        Soil temperature [°C].
    in_spring : (n,) array of bool
        The days that are spring by the calendar.
    from_c, floor_c : float
        To open, and to go on once open [°C].
    over_days : int
        Over how many days it has to rise.
    """
    before = np.concatenate([np.full(over_days, np.nan), soil_c])[: len(soil_c)]
    opens = in_spring & (soil_c >= from_c) & (soil_c > before)
    day = np.arange(len(soil_c))
    begun = np.concatenate([in_spring[:1], in_spring[1:] & ~in_spring[:-1]])
    last_begun = np.maximum.accumulate(np.where(begun, day, 0))
    last_opened = np.maximum.accumulate(np.where(opens, day, -1))
    warm = (last_opened >= last_begun) & (soil_c >= floor_c)
    untold = np.isnan(soil_c) | ((soil_c >= from_c) & np.isnan(before))
    result: Mask = in_spring & (warm | untold)
    return result


def days_left(soil_c: Series, *, floor_c: float, below_days: int) -> Series:
    """Return for each day how many are left until the soil stays below the floor.

    Parameters
    ----------
    soil_c : (n,) array
        Soil temperature [°C].
    floor_c : float
        Below it grass does not grow [°C].
    below_days : int
        Days in a row below the floor that end the growth; fewer are only a cold spell.

    Returns
    -------
    (n,) array
        0 on a day of such a run; infinite when none follows.
    """
    day = np.arange(len(soil_c), dtype=np.float64)
    if len(soil_c) < below_days:
        return np.full(len(soil_c), np.inf)
    cold = np.concatenate([[0], np.cumsum(soil_c < floor_c)])
    begins = cold[below_days:] - cold[:-below_days] == below_days
    ends = np.convolve(begins, np.ones(below_days)) > 0
    following = np.minimum.accumulate(np.where(ends, day, np.inf)[::-1])[::-1]
    return following - day
