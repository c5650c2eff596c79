"""A sun for tests: days of constant declination, by the spherical triangle.

sin h = sin φ sin δ + cos φ cos δ cos t, and the azimuth likewise, as in any handbook of astronomy.
Positions worked out from dates are another module's, and tested there.
"""

from __future__ import annotations

import numpy as np

from lawnmap.geometry.sunlight.path import SunPath

OBLIQUITY_DEG = 23.44


def day(
    latitude_deg: float, declination_deg: float, minutes: float = 2.0, *, air: bool = False
) -> SunPath:
    """Return one day from midnight to midnight, at the middle of each step; refracted in air.

    Refraction is Sæmundsson's formula (Sky & Telescope 72:70, 1986; from memory).
    """
    hour = np.arange(minutes / 2, 24 * 60, minutes) / 60
    angle = np.radians(15 * (hour - 12))
    latitude, declination = np.radians([latitude_deg, declination_deg])
    (sin_lat, cos_lat), (sin_dec, cos_dec) = (
        (np.sin(a), np.cos(a)) for a in (latitude, declination)
    )
    east = -cos_dec * np.sin(angle)
    north = sin_dec * cos_lat - cos_dec * sin_lat * np.cos(angle)
    elevation = np.degrees(np.arcsin(sin_lat * sin_dec + cos_lat * cos_dec * np.cos(angle)))
    if air:
        high = np.maximum(elevation, -1)
        elevation = elevation + 1.02 / 60 / np.tan(np.radians(high + 10.3 / (high + 5.11)))
    azimuth = np.degrees(np.arctan2(east, north)) % 360
    return SunPath(azimuth, elevation, np.full(len(hour), minutes / 60))


def season(latitude_deg: float, days: int, minutes: float, first: int = 0) -> SunPath:
    """Return days after the spring equinox, the declination a sine of the year."""
    each = [
        day(latitude_deg, OBLIQUITY_DEG * np.sin(2 * np.pi * (first + number) / 365.25), minutes)
        for number in range(days)
    ]
    return SunPath(*(np.concatenate(column) for column in zip(*each, strict=True)))
