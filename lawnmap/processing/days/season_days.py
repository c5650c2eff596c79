"""Days of the year: which of them lie in a season, north or south of the equator."""

from __future__ import annotations

import datetime as dt

import numpy as np
import numpy.typing as npt

Mask = npt.NDArray[np.bool_]
Days = npt.NDArray[np.datetime64]
MonthDay = tuple[int, int]
Span = tuple[dt.date, dt.date]

LENGTHS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)  # of a leap year's months
HALF_A_YEAR = 6  # months
STARTS = np.cumsum((0, *LENGTHS[:-1]))


def span(first: dt.date, last: dt.date) -> Days:
    """Return every day from the first to the last, both in."""
    return np.arange(np.datetime64(first), np.datetime64(last) + 1)


def month_and_day(days: Days) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Return month (1 to 12) and day (1 to 31) of each day."""
    months = days.astype("datetime64[M]")
    return months.astype(np.int64) % 12 + 1, (days - months).astype(np.int64) + 1


def day_of_year(days: Days) -> npt.NDArray[np.int64]:
    """Return the place of each day in a leap year, 0 to 365."""
    month, day = month_and_day(days)
    return STARTS[month - 1] + day - 1


def half_a_year_on(at: MonthDay) -> MonthDay:
    """Return the day six months on; the end of a month stays the end of one."""
    month, day = at
    other = (month - 1 + HALF_A_YEAR) % 12 + 1
    length = LENGTHS[other - 1]
    return other, length if day == LENGTHS[month - 1] else min(day, length)


def in_season(days: Days, first: MonthDay, last: MonthDay, *, south: bool) -> Mask:
    """Tell which days lie in a season; it may run over the turn of the year.

    Parameters
    ----------
    days : (n,) array
    first, last : (month, day)
        North of the equator, both in.
    south : bool
        Whether the days are meant south of the equator.
    """
    if south:
        first, last = half_a_year_on(first), half_a_year_on(last)
    month, day = month_and_day(days)
    at = month * 100 + day
    begun, open_ = at >= first[0] * 100 + first[1], at <= last[0] * 100 + last[1]
    return begun & open_ if first <= last else begun | open_


def windows(mask: Mask, first: dt.date) -> tuple[Span, ...]:
    """Return the runs of days that a mask holds, counted from `first`."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]])))
    return tuple(
        (first + dt.timedelta(days=start), first + dt.timedelta(days=end - 1))
        for start, end in edges.reshape(-1, 2).tolist()
    )
