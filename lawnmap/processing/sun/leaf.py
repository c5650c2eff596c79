"""When a tree is in leaf, and what share of the sun its crown lets through then."""

from __future__ import annotations

import datetime as dt

import numpy as np
import numpy.typing as npt

from lawnmap.reference import tables

EVERGREEN = "evergreen"
KINDS = (EVERGREEN, "deciduous")
YEAR_DAYS = 365.25


def in_leaf(first: dt.date, days: int, latitude: float) -> npt.NDArray[np.bool_]:
    """Return for each day whether deciduous trees are in leaf.

    South of the equator the year is turned by half.

    Parameters
    ----------
    first : date
    days : int
        How many, from the first on.
    latitude : float
        [°].
    """
    out, off = (tables.value(name).number for name in ("leaf_out_day", "leaf_off_day"))
    turn = 0.0 if latitude >= 0 else YEAR_DAYS / 2
    each = np.array([(first + dt.timedelta(days=n)).timetuple().tm_yday for n in range(days)])
    turned = (each - turn) % YEAR_DAYS
    return np.asarray((turned >= out) & (turned < off), dtype=bool)


def passes(leaf: str) -> tuple[float, float]:
    """Return the share of direct sun that passes a crown in leaf, and out of leaf.

    Parameters
    ----------
    leaf : str
        ``evergreen`` is always in leaf; all else is taken as deciduous.
    """
    if leaf == EVERGREEN:
        share = tables.value("crown_passes_evergreen").number
        return share, share
    return (
        tables.value("crown_passes_in_leaf").number,
        tables.value("crown_passes_bare").number,
    )


def season(year: int, latitude: float) -> tuple[dt.date, dt.date]:
    """Return the first and last day of the growing season that begins in a year.

    Examples
    --------
    >>> [day.isoformat() for day in season(2026, 53.8)]
    ['2026-04-01', '2026-09-30']
    >>> [day.isoformat() for day in season(2026, -37.8)]
    ['2026-10-01', '2027-03-31']
    """
    first, last = (
        int(tables.value(name).number) for name in ("sun_season_first", "sun_season_last")
    )
    if latitude < 0:  # half a year on
        first, last, after = first + 6, last - 6, year + 1
    else:
        after = year
    ends = dt.date(after, last, 1) + dt.timedelta(days=31)
    return dt.date(year, first, 1), ends.replace(day=1) - dt.timedelta(days=1)
