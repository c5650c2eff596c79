"""Units as conversion tables print them."""

from __future__ import annotations

from tests.published.check import Check, ground, inside

FLORIDA = "F. M. Fishel and others, SS-AGR-27, University of Florida; edis.ifas.ufl.edu/ag126"
KANSAS = "Kansas State University, Soils Laboratory Manual; kstatelibraries.pressbooks.pub"
TABLES = "Conversion Factors and Tables, an anonymous hand-out; scribd.com/document/163385085"


def converted(text: str, kind: str, unit: str) -> float:
    """Return a measure in another unit."""
    return inside(text, kind, unit)


def area(text: str) -> float:
    """Return a piece of ground in square metres."""
    return ground(text)


CHECKS = [
    Check(FLORIDA, converted, ("1 US fl oz", "volume", "ml"), "29.57", "ml"),
    Check(FLORIDA, converted, ("1 US pt", "volume", "ml"), "473", "ml"),
    Check(FLORIDA, converted, ("1 US qt", "volume", "ml"), "946", "ml"),
    Check(FLORIDA, converted, ("1 US gal", "volume", "US pt"), "8", "pt"),
    Check(FLORIDA, converted, ("1 oz", "mass", "g"), "28.35", "g"),
    Check(FLORIDA, converted, ("1 lb", "mass", "g"), "453.6", "g"),
    Check(FLORIDA, converted, ("1 psi", "pressure", "kPa"), "6.895", "kPa"),
    Check(FLORIDA, area, ("1 yd2",), "0.836", "m²"),
    Check(FLORIDA, area, ("1 ha",), "10,000", "m²"),
    Check(KANSAS, converted, ("1 US gal/acre", "water", "l/ha"), "9.35", "l/ha"),
    Check(KANSAS, converted, ("1 lb/acre", "rate", "kg/ha"), "1.12", "kg/ha"),
    Check(KANSAS, converted, ("1 oz", "mass", "g"), "28.35", "g"),
    Check(TABLES, converted, ("1 imperial gal", "volume", "l"), "4.546", "l"),
    Check(
        TABLES, converted, ("1 imperial pt", "volume", "l"), "0.5682", "l",
        within=1e-4, note="digits cut off, not rounded",
    ),
    Check(TABLES, converted, ("1 imperial qt", "volume", "l"), "1.1365", "l"),
    Check(TABLES, converted, ("1 imperial fl oz", "volume", "ml"), "28.41", "ml"),
    Check(TABLES, converted, ("1 US gal", "volume", "l"), "3.785", "l"),
    Check(TABLES, converted, ("1 US fl oz", "volume", "ml"), "29.57", "ml"),
]  # fmt: skip
