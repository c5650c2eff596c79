"""Iron in salts, granules and lawn sand."""

from __future__ import annotations

from lawnmap.agronomy import iron
from lawnmap.reference import tables
from tests.published.check import Check

DOSSIERS = "National registration reports of one moss granule, UKS150C (Germany 2016, France 2019)"
ENCYCLOPEDIA = "An encyclopedia's table of iron(II) sulphate"
CATALOGUE = "A chemical catalogue's table of solubility, hydrate by mass"
GALE = "L. Gale, Lawn sand, Pitchcare; atomic weights of IUPAC/CIAAW"
COOK = "T. Cook and others, Oregon State University, summary at puttgarden.com"


def share(formula: str, element: str = "Fe") -> float:
    """Return the mass fraction of an element."""
    return iron.fraction(element, tables.salt(formula).atoms, tables.atomic_weights())


def molar_mass(formula: str) -> float:
    """Return molar mass of a salt."""
    return iron.molar_mass(tables.salt(formula).atoms, tables.atomic_weights())


def as_other(amount: float, stated_as: str, wanted_as: str) -> float:
    """Return the same iron, stated as another salt."""
    return amount * share(stated_as) / share(wanted_as)


def per_cent(formula: str) -> float:
    """Return iron in a salt, in per cent."""
    return 100 * share(formula)


def lawn_sand(parts: tuple[int, ...], rate: float, salt: str) -> float:
    """Return iron on one square metre of a lawn sand of iron salt, ammonium sulphate and sand."""
    return float(iron.dose(rate, iron.mixture(parts, [share(salt), 0, 0])))


def sand_nitrogen(parts: tuple[int, ...], rate: float) -> float:
    """Return nitrogen on one square metre of the same."""
    return float(iron.dose(rate, iron.mixture(parts, [0, share("(NH4)2SO4", "N"), 0])))


def product(iron_lb: float, stated_as: str) -> float:
    """Return salt on one square metre that carries pounds of iron on 1000 square feet."""
    return float(iron.product_dose(iron_lb * 4.88243, share(stated_as)))


OLD_WEIGHTS = "the table adds up older atomic weights"
APART = "two tables, measured apart: they agree to 1 %"
CHECKS = [
    Check(DOSSIERS, as_other, (182, "FeSO4·H2O", "FeSO4"), "163", "g/kg"),
    Check(DOSSIERS, as_other, (163, "FeSO4", "FeSO4·H2O"), "182", "g/kg"),
    Check(
        ENCYCLOPEDIA, molar_mass, ("FeSO4·H2O",), "169.93", "g/mol", within=0.02, note=OLD_WEIGHTS,
    ),
    Check(
        ENCYCLOPEDIA, molar_mass, ("FeSO4·7H2O",), "278.02", "g/mol", within=0.02, note=OLD_WEIGHTS,
    ),
    Check(
        CATALOGUE, as_other, (15.65, "FeSO4", "FeSO4·7H2O"), "28.8", "g/100 ml at 0 °C",
        within=0.3, note=APART,
    ),
    Check(
        CATALOGUE, as_other, (39.89, "FeSO4", "FeSO4·7H2O"), "73.3", "g/100 ml at 40 °C",
        within=0.7, note=APART,
    ),
    Check("An Australian supplier of sulphate of iron", per_cent, ("FeSO4·7H2O",), "20", "%"),
    Check(GALE, lawn_sand, ((1, 3, 20), 140, "FeSO4·7H2O"), "1.172", "g/m²", by_hand=True),
    Check(GALE, sand_nitrogen, ((1, 3, 20), 140), "3.710", "g/m²", by_hand=True),
    Check(COOK, product, (0.2, "FeSO4·7H2O"), "4.86", "g/m²", by_hand=True),
    Check(COOK, product, (0.4, "FeSO4·7H2O"), "9.72", "g/m²", by_hand=True),
    Check(COOK, product, (0.6, "FeSO4·7H2O"), "14.58", "g/m²", by_hand=True),
]  # fmt: skip
