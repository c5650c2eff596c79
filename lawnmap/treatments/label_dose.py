"""What a label card says of one square metre: product, water, iron and nitrogen."""

from __future__ import annotations

from dataclasses import dataclass

from lawnmap.agronomy import iron, label_rate
from lawnmap.errors import InputRefused
from lawnmap.model import Product, Specification
from lawnmap.reference import tables

FILE = "products.toml"
AGREE = 0.02  # as far as two ways of stating one rate may differ by rounding
HYDRATE = "FeSO4·7H2O"


@dataclass(frozen=True)
class LabelDose:
    """One application.

    Attributes
    ----------
    per_m2 : float or None
        Product on one m²; None when the card has no rate.
    unit : str
        ``g`` or ``ml``.
    water_l_m2 : float or None
        Water that the label prints [l/m²].
    iron_g_m2 : float or None
        Elemental iron; None when the card does not let it be worked out.
    said : str
        What was understood of the label.
    typed_twice : bool
        Whether the rate was typed a second time and is the same.
    """

    per_m2: float | None
    unit: str
    water_l_m2: float | None
    iron_g_m2: float | None
    said: str
    typed_twice: bool


def label_dose(product: Product) -> LabelDose:
    """Return what the card of a product says of one application.

    Raises
    ------
    InputRefused
        When the printed rate cannot be read, or the card states two different rates.
    """
    per_m2, unit, water, said = _rate(product)
    again = _parsed(product.rate_typed_again, product) if product.rate_typed_again else None
    typed_twice = (
        again is not None and per_m2 is not None and again.unit == unit
        and _same(again.per_m2, per_m2)
    )  # fmt: skip
    return LabelDose(per_m2, unit, water, _iron(product, per_m2, unit), said, typed_twice)


def published_dose(product: Product | None) -> tuple[float, float]:
    """Return a dose [g/m²] for pricing without a rate, and its iron [g/m²].

    The middle of the published applications, in the product where its iron is known, else as iron
    sulphate heptahydrate.
    """
    low, high = (tables.value(each).number for each in ("fe_low_g_m2", "fe_high_g_m2"))
    middle = (low + high) / 2
    per_g = iron_per(product, "g") if product is not None else None
    per_g = per_g or iron.fraction("Fe", tables.salt(HYDRATE).atoms, tables.atomic_weights())
    return float(iron.product_dose(middle, per_g)), middle


def iron_per(product: Product, unit: str) -> float | None:
    """Return grams of iron in one g or ml of a product; None when its card does not say."""
    if product.analysis_pct is None or not product.analysis_as:
        return None
    stated_as = tables.salt(product.analysis_as).atoms
    found = iron.content(
        product.analysis_pct,
        analyte_fraction=iron.fraction("Fe", stated_as, tables.atomic_weights()),
        basis=product.analysis_basis,
        density_kg_l=product.density_kg_l,
    )
    return found.per_g if unit == "g" else found.per_ml


def _rate(product: Product) -> tuple[float | None, str, float | None, str]:
    """Return product on one m², its unit, the label's water and the words."""
    typed = product.rate_g_m2 if product.rate_g_m2 is not None else product.rate_ml_m2
    unit = "g" if product.rate_g_m2 is not None or product.rate_ml_m2 is None else "ml"
    if not product.rate_printed:
        said = "" if typed is None else f"{typed:g} {unit} on each m²"
        return typed, unit, product.water_l_m2, said
    printed = _parsed(product.rate_printed, product)
    if typed is not None and not (printed.unit == unit and _same(printed.per_m2, typed)):
        raise InputRefused(
            f"rate_printed is {printed.per_m2:.4g} {printed.unit}/m² and the typed rate "
            f"{typed:.4g} {unit}/m²",
            file=FILE,
            place=product.name,
            remedy="Look at the label and correct the one that is wrong.",
        )
    water = product.water_l_m2 if product.water_l_m2 is not None else printed.water_l_m2
    return printed.per_m2, printed.unit, water, printed.read_back


def _parsed(text: str, product: Product) -> label_rate.Rate:
    pack = product.packs[0][:2] if len(product.packs) == 1 else None
    try:
        return label_rate.parse(text, pack=pack)
    except InputRefused as error:
        raise error.within(file=FILE, place=product.name) from error


def _iron(product: Product, per_m2: float | None, unit: str) -> float | None:
    per_unit = None if per_m2 is None else iron_per(product, unit)
    return None if per_unit is None else float(iron.dose(per_m2 or 0.0, per_unit))


def _same(one: float, other: float) -> bool:
    return max(one, other) <= min(one, other) * (1 + AGREE)


def card(name: str, specification: Specification) -> Product | None:
    """Return a label card by name; None for no name."""
    return specification.products[name] if name else None
