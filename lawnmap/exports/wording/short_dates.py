"""Dates for lines that hold several: without the weekday, and the year said once."""

from __future__ import annotations

import datetime as dt

from lawnmap.pages.words import word


def short(day: dt.date) -> str:
    """Return a date that nobody can take for another.

    Examples
    --------
    >>> short(dt.date(2027, 3, 4))
    '4 March 2027'
    """
    return word("date.short", day=day.day, month=word(f"month.{day.month}"), year=day.year)


def no_year(day: dt.date) -> str:
    """Return a date beside which the year stands already.

    Examples
    --------
    >>> no_year(dt.date(2027, 3, 4))
    '4 March'
    """
    return word("date.no_year", day=day.day, month=word(f"month.{day.month}"))


def between(first: dt.date, last: dt.date) -> str:
    """Return the first and last day of a time; the year once where it is the same.

    Examples
    --------
    >>> between(dt.date(2026, 9, 15), dt.date(2026, 10, 21))
    '15 September to 21 October 2026'
    >>> between(dt.date(2026, 9, 15), dt.date(2026, 9, 15))
    '15 September 2026'
    """
    if first == last:
        return short(first)
    start = no_year(first) if first.year == last.year else short(first)
    return word("date.span", first=start, last=short(last))
