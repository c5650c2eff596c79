"""Work rates, vibration and warmth."""

from __future__ import annotations

from lawnmap.agronomy import growth, vibration, work_rate
from lawnmap.agronomy.field_units import measured
from tests.published.check import Check, ground

IOWA = "Iowa State University, PM 696, April 2001"
HUB = "calculatorshub, field capacity"
ASABE = "ASABE EP496, field capacity, worked with the reference's figures"
HSE = "HSE, exposure points ready reckoner; hse.gov.uk/vibration/hav/readyreckoner.htm"
GOLF = "A golf club's blog, March 2013, growing-degree days"
KREUSER = "Kreuser and Soldat, 2009, abstract: growing-degree days between growth regulators"
BLOG = "A household blog (cleverdude), raking by hand"


def acres(width: str, speed: str, efficiency: float) -> float:
    """Return acres an hour from width, speed and field efficiency."""
    found = work_rate.field_capacity(
        measured(speed, "speed"), measured(width, "length"), efficiency
    )
    return float(found) / ground("1 acre")


def hectares(width: str, speed: str, efficiency: float) -> float:
    """Return hectares an hour from width, speed and field efficiency."""
    found = work_rate.field_capacity(
        measured(speed, "speed"), measured(width, "length"), efficiency
    )
    return float(found) / ground("1 ha")


def hours(area_m2: float, passes: int) -> float:
    """Return hours with a scarifier 0.38 m wide at 3 km/h and an efficiency of 0.70."""
    return float(work_rate.hours(area_m2, work_rate.field_capacity(3.0, 0.38, 0.70), passes))


def by_hand(area: str, work: str) -> float:
    """Return hours by hand from an area and what is raked in an hour."""
    return float(work_rate.hours(ground(area), ground(work)))


def points(acceleration: float, time_h: float) -> float:
    """Return exposure points of a day."""
    return float(vibration.points(acceleration, time_h))


def degree_days(highest: float, lowest: float, base: float) -> float:
    """Return growing-degree days of one day."""
    return float(growth.degree_days(highest, lowest, base))


def in_fahrenheit(sum_c: float) -> float:
    """Return a sum of growing-degree days over 0 °C, counted in Fahrenheit over 32."""
    highest_c, lowest_c, days = 30.0, 10.0, sum_c / 20
    return float(growth.degree_days(highest_c * 1.8 + 32, lowest_c * 1.8 + 32, 32)) * days


CHECKS = [
    Check(IOWA, acres, ("40 ft", "6 mph", 0.70), "20.4", "acres/h"),
    Check(IOWA, acres, ("10 ft", "5 mph", 0.63), "3.8", "acres/h"),
    Check(HUB, hectares, ("2.5 m", "5 km/h", 0.85), "1.06", "ha/h"),
    Check(ASABE, acres, ("10 ft", "4 mph", 0.75), "3.64", "acres/h", by_hand=True),
    Check(ASABE, acres, ("12 ft", "5 mph", 0.80), "5.82", "acres/h", by_hand=True),
    Check(ASABE, hours, (500, 2), "1.25", "h", by_hand=True),
    Check(ASABE, hours, (6000, 2), "15.0", "h", by_hand=True),
    Check(BLOG, by_hand, ("1500 ft2", "500 ft2"), "3", "h"),
    Check(HSE, points, (5, 3), "150", "points"),
    Check(HSE, points, (2.5, 8), "100", "points"),
    Check(HSE, points, (5, 8), "400", "points"),
    Check(GOLF, degree_days, (54, 37, 32), "14", "°F d"),
    Check(KREUSER, in_fahrenheit, (200,), "360", "°F d"),
]
