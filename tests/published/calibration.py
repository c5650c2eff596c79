"""Calibration of sprayers and spreaders."""

from __future__ import annotations

from lawnmap.agronomy import calibration, label_rate
from lawnmap.agronomy.field_units import measured
from tests.published.check import Check, ground, inside

COUNTRYCO = "Countryco Training, Useful tools"
MANUAL = "A sprayer manual, azmanual.top 124774, p. 22"
LSU = "LSU AgCenter (Barbosa, Koske and Parish), sprayer calibration by 1/128 acre"
LARIMER = "Larimer County, sprayer calibration; larimer.org/weeds/calibration.htm"
ALBANY = "Albany County Weed & Pest, boomless sprayer calibration"
NC_STATE = "NC State Extension, backpack sprayer worksheet"
CONSUMER = "Consumer Reports, October 2006, drop spreader"
MAKER = "A fertiliser maker's guide, spreader test"
FLORIDA = "Florida Pest Control Examinations, p. 213"
NSW = "NSW Department of Primary Industries, calibration record, 28 July 2009"


def boom(flow_l_min: float, speed: str, width_m: float) -> float:
    """Return litres on the hectare from flow, speed and width."""
    return calibration.spray_volume(flow_l_min, measured(speed, "speed"), width_m)


def flow(litres_ha: float, speed: str, width_m: float) -> float:
    """Return litres a minute that put on a volume."""
    return calibration.flow_needed(litres_ha, measured(speed, "speed"), width_m)


def gallons(caught: str, width: str, length: str) -> float:
    """Return US gallons on the acre from what was caught or used on a run."""
    on_one = calibration.caught(
        measured(caught, "volume"), measured(width, "length"), measured(length, "length")
    )
    return inside(f"{on_one} l/m2", "water", "US gal/acre")


def by_flow(a_minute: str, speed: str, width: str) -> float:
    """Return US gallons on the acre from flow, speed and width."""
    on_hectare = calibration.spray_volume(
        measured(a_minute, "volume"), measured(speed, "speed"), measured(width, "length")
    )
    return inside(f"{on_hectare} l/ha", "water", "US gal/acre")


def litres(caught: float, width_m: float, length_m: float) -> float:
    """Return litres on the hectare from litres on a run."""
    return calibration.caught(caught, width_m, length_m) * 10_000


def pounds(caught: str, width: str, length: str) -> float:
    """Return pounds on 1000 square feet from what was caught on a run."""
    on_one = calibration.caught(
        measured(caught, "mass"), measured(width, "length"), measured(length, "length")
    )
    return inside(f"{on_one} g/m2", "rate", "lb/1000 ft2")


def in_hopper(pack: str, covers: str, test: str) -> float:
    """Return pounds in the spreader for a test run, from what a bag covers."""
    rate = label_rate.parse(f"covers {covers}", pack=(measured(pack, "mass"), "g"))
    return inside(f"{rate.per_m2 * ground(test)} g", "mass", "lb")


def converted(text: str, kind: str, unit: str) -> float:
    """Return a measure in another unit."""
    return inside(text, kind, unit)


def seconds_to_speed(seconds: float) -> float:
    """Return kilometres an hour from seconds over 100 m."""
    return calibration.speed(seconds)


COURSE = "the course is rounded to a foot"
ONE = "1 US fl oz"
CHECKS = [
    Check(COUNTRYCO, boom, (24, "12 km/h", 12), "100", "l/ha"),
    Check(COUNTRYCO, boom, (24, "200 m/min", 12), "100", "l/ha"),
    Check(COUNTRYCO, seconds_to_speed, (30,), "12", "km/h"),
    Check(MANUAL, flow, (100, "8 km/h", 12), "16", "l/min"),
    Check(NSW, litres, (1, 1, 10), "1,000", "l/ha"),
    Check(LSU, gallons, (ONE, "30 in", "136 ft"), "1", "US gal/acre", within=0.01, note=COURSE),
    Check(LSU, gallons, (ONE, "20 in", "204 ft"), "1", "US gal/acre", within=0.01, note=COURSE),
    Check(LSU, gallons, (ONE, "12 in", "340 ft"), "1", "US gal/acre", within=0.01, note=COURSE),
    Check(LSU, gallons, (ONE, "10 in", "408 ft"), "1", "US gal/acre", within=0.01, note=COURSE),
    Check(
        LARIMER, gallons, (ONE, "18.5 ft", "18.5 ft"), "1", "US gal/acre",
        within=0.01, note="the square is rounded to half a foot",
    ),
    Check(LSU, gallons, ("14 US fl oz", "40 in", "102 ft"), "14", "US gal/acre", within=0.1,
          note="by the source's own course, which is exact to a foot"),
    Check(ALBANY, by_flow, ("480 US fl oz", "5 mph", "222 in"), "20", "US gal/acre"),
    Check(ALBANY, converted, ("480 US fl oz", "volume", "US gal"), "3.75", "US gal"),
    Check(NC_STATE, gallons, ("7.5 US fl oz", "6 ft", "57 ft"), "7.5", "US gal/acre"),
    Check(FLORIDA, gallons, ("12 US gal", "10 ft", "660 ft"), "79.2", "US gal/acre"),
    Check(CONSUMER, pounds, ("1/2 lb", "1 ft", "50 ft"), "10", "lb/1000 ft²"),
    Check(MAKER, in_hopper, ("25 lb", "5000 ft2", "100 ft2"), "0.5", "lb"),
]  # fmt: skip
