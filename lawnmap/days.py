"""What the days of a plan are found from, and the days that were found. Frozen, as the model is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from lawnmap.agronomy.weather import Weather
from lawnmap.logistics.work import Closed, Window


@dataclass(frozen=True)
class Calendar:
    """What a plan starts from beside the ground: what was done, promised, and which days are open.

    Attributes
    ----------
    record : tuple of mapping
        Rows of ``record.csv`` in the file's order.
    promised : mapping of (zone_id, operation, number) to date
        The days in the plan that was issued last; number 1 is the first such step of the zone.
    promised_in : str
        The id of that plan.
    closed : tuple of Closed
        Days on which nothing may be done.
    open_only : mapping of str to tuple of Window
        By zone_id, the only days on which something may be done there; "" is every zone.
    weather : Weather or None
        Daily values of the site's own file.
    """

    record: tuple[Mapping[str, str], ...] = ()
    promised: Mapping[tuple[str, str, int], dt.date] = field(default_factory=dict)
    promised_in: str = ""
    closed: tuple[Closed, ...] = ()
    open_only: Mapping[str, tuple[Window, ...]] = field(default_factory=dict)
    weather: Weather | None = None


@dataclass(frozen=True)
class Dates:
    """The days of a plan, as a schedule gave them; the day of each step stands in its row.

    Attributes
    ----------
    visits : tuple of date
        Days on which somebody works on the site, from the first day planned for.
    hire : tuple of (str, date)
        Machine and day, one for each day of hire.
    out : tuple of (str, date)
        Machine and day, one for each day on which a machine of which there is a number is used.
    told : tuple of str
        What is to be said of the days: counts, bound and gap, what moved, what found no day.
    """

    visits: tuple[dt.date, ...] = ()
    hire: tuple[tuple[str, dt.date], ...] = ()
    out: tuple[tuple[str, dt.date], ...] = ()
    told: tuple[str, ...] = ()
