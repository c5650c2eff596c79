"""Iron in salts, in products and on the ground.

Everything is compared as elemental iron: a label may state iron, dry iron sulphate or one of its
hydrates, by weight or by volume, and the same number then means up to five times as much.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from lawnmap.errors import InputRefused

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import ArrayLike, NDArray

BASES = ("w/w", "w/v", "g/l")
VERDICTS = ("below published", "within", "above published", "flagged", "above upper limit")


def molar_mass(atoms: Mapping[str, float], weights: Mapping[str, float]) -> float:
    """Return the molar mass [g/mol] of a formula unit from atom counts and atomic weights."""
    return sum(count * weights[element] for element, count in atoms.items())


def fraction(element: str, atoms: Mapping[str, float], weights: Mapping[str, float]) -> float:
    """Return the mass fraction (0 to 1) of one element in a compound."""
    return atoms.get(element, 0) * weights[element] / molar_mass(atoms, weights)


@dataclass(frozen=True)
class Content:
    """Iron (or another element) in a product: grams in one gram and in one millilitre.

    Either is None when the label does not allow it to be worked out.
    """

    per_g: float | None
    per_ml: float | None

    def per(self, unit: str) -> float:
        """Return grams of iron in one ``g`` or one ``ml`` of the product.

        Raises
        ------
        InputRefused
            When the density would be needed and the label card has none.
        """
        found = {"g": self.per_g, "ml": self.per_ml}[unit]
        if found is None:
            raise InputRefused(
                f"the iron in one {unit} of this product cannot be worked out without its density",
                remedy="Copy the density from the label or safety data sheet into the card.",
            )
        return found


def content(
    analysis: float, *, analyte_fraction: float, basis: str, density_kg_l: float | None = None
) -> Content:
    """Return what a printed analysis says of the iron in a product.

    Parameters
    ----------
    analysis : float
        The printed number: % for ``w/w`` (g in 100 g) and ``w/v`` (g in 100 ml), g/l for ``g/l``.
    analyte_fraction : float
        Iron in one gram of what the analysis is stated as: 1 for Fe, else from :func:`fraction`.
    basis : str
        ``w/w``, ``w/v`` or ``g/l``.
    density_kg_l : float, optional
        Density [kg/l] of a liquid product.

    Raises
    ------
    InputRefused
        When the basis is not stated or the analysis is impossible.
    """
    if basis not in BASES:
        raise InputRefused(
            f"the analysis says {analysis:g} but not of what: {basis!r} is not one of "
            + ", ".join(BASES),
            remedy="A percentage alone is not an analysis: copy the basis from the label.",
        )
    share = analysis / (1000 if basis == "g/l" else 100)
    if not 0 < share <= 1 or (density_kg_l is not None and not density_kg_l > 0):
        raise InputRefused(f"an analysis of {analysis:g} ({basis}) is not possible")
    part = share * analyte_fraction
    if basis == "w/w":
        return Content(part, None if density_kg_l is None else part * density_kg_l)
    return Content(None if density_kg_l is None else part / density_kg_l, part)


def dose(product_m2: ArrayLike, per_unit: float) -> NDArray[np.float64]:
    """Return elemental iron [g/m²] from product [g/m² or ml/m²] and its iron per g or ml."""
    return np.asarray(product_m2, dtype=np.float64) * per_unit


def product_dose(iron_g_m2: ArrayLike, per_unit: float) -> NDArray[np.float64]:
    """Return product [g/m² or ml/m²] that carries `iron_g_m2` of elemental iron."""
    if per_unit <= 0:
        raise ValueError("a product without iron gives no iron")
    return np.asarray(iron_g_m2, dtype=np.float64) / per_unit


def envelope(
    iron_g_m2: ArrayLike, *, low: float, high: float, flag: float, upper: float
) -> NDArray[np.str_]:
    """Return where one application lies among the published ones: one of VERDICTS.

    A label may pass the upper limit; it then stays flagged. Without a label nothing above the
    upper limit may be planned.

    Parameters
    ----------
    iron_g_m2 : array_like
        Elemental iron in one application [g/m²].
    low, high : float
        The published envelope [g/m²], both ends in it.
    flag, upper : float
        Iron [g/m²] above which to look twice, and above which a label is needed.
    """
    amount = np.asarray(iron_g_m2, dtype=np.float64)
    limits = np.asarray([np.nextafter(low, -np.inf), high, flag, upper])
    return np.asarray(VERDICTS)[np.searchsorted(limits, amount, side="left")]


def times_published(iron_g_m2: ArrayLike, high: float) -> NDArray[np.float64]:
    """Return how many times the top of the published envelope an application is."""
    return np.asarray(iron_g_m2, dtype=np.float64) / high


def mixture(parts: Sequence[float], fractions: Sequence[float]) -> float:
    """Return the mass fraction of an element in a dry mix, to read what a label means.

    Parameters
    ----------
    parts : sequence of float
        Parts by weight.
    fractions : sequence of float
        Mass fraction of the element in each part.
    """
    if len(parts) != len(fractions) or sum(parts) <= 0:
        raise ValueError("each part of a mix needs its fraction, and there must be some")
    return float(np.dot(parts, fractions) / sum(parts))
