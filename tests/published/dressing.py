"""Dressing, and what things weigh."""

from __future__ import annotations

from lawnmap.agronomy import top_dressing
from lawnmap.agronomy.field_units import measured
from lawnmap.reference import tables
from tests.published.check import Check, ground

WAUPACA = "Waupaca Sand, 1 September 2011"
GARDENERS = (
    "A page for gardeners, yards of dressing on 1000 square feet; askvity.info tells the same"
)
USGA = "J. Daniels, USGA, 17 August 2018"
EPA = "US EPA, factors of 2016, as ENERGY STAR Portfolio Manager uses them"
OREGON = "Oregon DEQ, table of weights, 2005"
MERSEYSIDE = "Merseyside Recycling and Waste Authority, Volume to kgs"
YARD, FOOT, POUND_KG = 0.9144, 0.3048, measured("1 lb", "mass") / 1000


def yards(area: str, inches: float) -> float:
    """Return cubic yards of dressing for a depth on an area."""
    depth = measured(f"{inches} in", "length") * 1000
    return float(top_dressing.volume_m3(ground(area), depth)) / YARD**3


def pounds(material: str, end: str, metres: float) -> float:
    """Return pounds in a cube, by the table of densities used here."""
    return getattr(tables.value(material), end) * metres**3 / POUND_KG


def a_litre(material: str, end: str) -> float:
    """Return kilograms in a litre, by the table of densities used here."""
    return getattr(tables.value(material), end) / 1000


def deep(pounds_on_1000: float, density: float) -> float:
    """Pounds of dressing of a depth, worked back from its depth."""
    area = ground("1000 ft2")
    depth = pounds_on_1000 * POUND_KG / density / area * 1000
    return (
        float(top_dressing.mass_t(top_dressing.volume_m3(area, depth), density)) * 1000 / POUND_KG
    )


WHOLE = "kept here in whole kg/m³"
CHECKS = [
    Check(WAUPACA, yards, ("1 ft2", 1), "0.0031", "yd³"),
    Check(GARDENERS, yards, ("1000 ft2", 0.25), "0.77", "yd³"),
    Check(
        GARDENERS, yards, ("1000 ft2", 0.125), "0.40", "yd³", within=0.02, note="rounded up to buy",
    ),
    Check(
        GARDENERS, yards, ("5000 ft2", 0.25), "3.85", "yd³",
        within=0.01, note="five times the rounded 0.77",
    ),
    Check(USGA, pounds, ("sand", "number", FOOT), "100", "lb/ft³"),
    Check(WAUPACA, pounds, ("sand", "number", YARD), "2,700", "lb/yd³", within=1, note=WHOLE),
    Check(WAUPACA, pounds, ("topsoil", "number", YARD), "2,200", "lb/yd³", within=1, note=WHOLE),
    Check(EPA, pounds, ("green_waste_loose", "low", YARD), "250", "lb/yd³", within=1, note=WHOLE),
    Check(
        OREGON, pounds, ("green_waste_pressed", "number", YARD), "640", "lb/yd³",
        within=1, note=WHOLE,
    ),
    Check(MERSEYSIDE, a_litre, ("green_waste_loose", "high"), "0.231", "kg/l"),
]  # fmt: skip
