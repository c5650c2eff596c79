"""Where the sun stands: NREL's algorithm by pvlib, at even steps through whole solar days.

Everything is in UTC. A day begins at local mean midnight, which the longitude alone tells, so that
no time zone and no summer time is asked for.

Sources
-------
Reda and Andreas, "Solar Position Algorithm for Solar Radiation Applications", NREL/TP-560-34302
(revised 2008).
"""

from __future__ import annotations

import datetime as dt
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.errors import ExtraNeeded

Floats = npt.NDArray[np.float64]

FEW_DAYS = 14
FINE_S, COARSE_S = 60, 300  # seconds from a position to the next: few days, and more
DAY_S = 86_400
DEGREES_AN_HOUR = 15.0


class Sky(NamedTuple):
    """The sun above the horizon, at the middle of even steps.

    Attributes
    ----------
    azimuth_deg : (n,) array
        From true north, clockwise [°].
    elevation_deg : (n,) array
        Of the middle of the sun, raised by refraction [°].
    day : (n,) array
        Counted from 0, the first day.
    step_h : float
        What each position stands for [h].
    first : date
    days : int
        How many.
    """

    azimuth_deg: Floats
    elevation_deg: Floats
    day: npt.NDArray[np.int64]
    step_h: float
    first: dt.date
    days: int

    @property
    def open_h(self) -> float:
        """Hours of sun a day on open level ground."""
        return len(self.day) * self.step_h / self.days


def sky(longitude: float, latitude: float, first: dt.date, last: dt.date) -> Sky:
    """Return the sun's way over a place, from one day to another, both in it.

    Up to 14 days it is followed in steps of one minute, else of five.

    Parameters
    ----------
    longitude, latitude : float
        Of the place [°].
    first, last : date

    Raises
    ------
    ExtraNeeded
        Without pvlib.
    """
    days = (last - first).days + 1
    step = FINE_S if days <= FEW_DAYS else COARSE_S
    midnight = dt.datetime.combine(first, dt.time(), dt.UTC).timestamp()
    start = midnight - longitude / DEGREES_AN_HOUR * 3600
    into = np.arange(days * (DAY_S // step), dtype=np.float64) * step + step / 2
    azimuth, elevation = sun_at(start + into, longitude, latitude)
    up = elevation > 0
    day = (into // DAY_S).astype(np.int64)
    return Sky(azimuth[up], elevation[up], day[up], step / 3600, first, days)


def sun_at(
    unix_s: Floats, longitude: float, latitude: float, **air: float
) -> tuple[Floats, Floats]:
    """Return azimuth and apparent elevation of the sun [°].

    Parameters
    ----------
    unix_s : (n,) array
        Seconds since 1970 in UTC.
    longitude, latitude : float
        Of the place [°].
    **air : float
        As pvlib takes it: ``altitude`` [m], ``pressure`` [Pa], ``temperature`` [°C], ``delta_t``
        [s], ``atmos_refract`` [°]. Its own are used for what is left out.

    Raises
    ------
    ExtraNeeded
        Without pvlib.
    """
    spa = _solarposition()
    times = np.round(np.asarray(unix_s) * 1e3).astype("datetime64[ms]")
    found = spa.spa_python(_in_utc(times), latitude, longitude, **air)
    columns = (found["azimuth"], found["apparent_elevation"])
    azimuth, elevation = (np.asarray(each, dtype=np.float64) for each in columns)
    return azimuth, elevation


def _in_utc(times: npt.NDArray[np.datetime64]) -> Any:
    import pandas as pd

    return pd.DatetimeIndex(times).tz_localize("UTC")


def _solarposition() -> Any:
    try:
        from pvlib import solarposition
    except ImportError as error:
        raise ExtraNeeded(
            "sun hours need pvlib, which is not installed",
            remedy='Install it: pip install "lawnmap[sun]".',
        ) from error
    return solarposition
