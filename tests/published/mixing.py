"""Cans, tanks and printed rates."""

from __future__ import annotations

from lawnmap.agronomy import label_rate, mixing
from lawnmap.agronomy.catching import off_mean
from lawnmap.agronomy.field_units import measured
from tests.published.check import Check, inside

CORNWALL = "Cornwall Cricket Groundsmen, 28 January 2019"
RAVENSDOWN = "Ravensdown product data, Ferrous sulphate"
ALBANY = "Albany County Weed & Pest, boomless sprayer calibration"
NC_STATE = "NC State Extension, backpack sprayer worksheet"
ALBERTA = "Alberta Agriculture, Agdex 606-1, sprayer calibration"
ACADEMY = "Amenity Academy, Knapsack calibration"


def covered(recipe: str, can_l: float) -> float:
    """Return ground that one can covers, by the recipe on the label."""
    rate = label_rate.parse(recipe)
    return mixing.container_load(can_l, rate.per_m2, rate.water_l_m2 or 0).area_m2


def put_in(recipe: str, can_l: float) -> float:
    """Return grams that go into one can, by the recipe on the label."""
    rate = label_rate.parse(recipe)
    return mixing.container_load(can_l, rate.per_m2, rate.water_l_m2 or 0).product


def rate(recipe: str) -> float:
    """Return grams on one square metre, by the recipe on the label."""
    return label_rate.parse(recipe).per_m2


def tank(dose: str, water: str, holds: str) -> float:
    """Return US fluid ounces of product in one tank."""
    load = mixing.container_load(
        measured(holds, "volume"), measured(dose, "water"), measured(water, "water")
    )
    return inside(f"{load.product} l", "volume", "US fl oz")


def water(area: float, on_one: float) -> float:
    """Return water for an area."""
    return float(mixing.water_volume(area, on_one))


def furthest(flow: float, mean: float) -> float:
    """Return a nozzle's flow against the mean of all, in per cent."""
    return 100 * off_mean([flow, mean, 2 * mean - flow])[0]


CHECKS = [
    Check(CORNWALL, covered, ("50 g in 10 l over 16 m²", 10), "16", "m²"),
    Check(CORNWALL, put_in, ("50 g in 10 l over 16 m²", 10), "50", "g"),
    Check(RAVENSDOWN, rate, ("50 kg/ha",), "5", "g/m²"),
    Check(RAVENSDOWN, rate, ("5 g/l at 1 l/m²",), "5", "g/m²"),
    Check(
        "thegrassisgreener.org.uk, most garden lime", rate, ("1 1/2 oz/yd²",), "50", "g/m²",
        within=1.0, note="the page rounds both units to what is handy",
    ),
    Check(ALBANY, tank, ("32 US fl oz/acre", "20 US gal/acre", "20 US gal"), "32", "fl oz"),
    Check(NC_STATE, tank, ("8 US fl oz/acre", "7.5 US gal/acre", "3 US gal"), "3.2", "fl oz"),
    Check(ALBERTA, water, (30, 40), "1,200", "l"),
    Check(
        ALBERTA, furthest, (0.71, 0.75), "-5", "%", note="0.71 to 0.79 l/min is printed as ± 5 %",
    ),
    Check(ACADEMY, put_in, ("25 kg/ha in 400 l/ha", 15), "937.5", "g", by_hand=True),
    Check(ACADEMY, covered, ("25 kg/ha in 400 l/ha", 15), "375", "m²", by_hand=True),
]  # fmt: skip
