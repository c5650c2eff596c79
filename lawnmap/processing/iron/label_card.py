"""The label card of the iron for a site, and whether it may be applied there.

Nothing is applied without a card that claims control of moss, with its number, for this country,
this user and this day. Without one the plan buys but does not apply.
"""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

from lawnmap.model import Machine, Product, Specification
from lawnmap.processing import machines
from lawnmap.schema import DO, NOT_ALLOWED, NOT_SET, PRICING

OPERATION = {
    "soluble": "iron_soluble",
    "liquid": "iron_liquid",
    "lawn sand": "lawn_sand",
    "granule": "lawn_sand",
}
SPRAYED = ("liquid", "soluble")
# Kinds of applicator in the order they are thought of, by who applies.
SPRAYERS = {"home": ("can", "knapsack", "boom"), "professional": ("knapsack", "boom", "can")}
SPREADERS = ("spreader", "hand")


class Card(NamedTuple):
    """The iron of a site.

    Attributes
    ----------
    product : Product or None
    form : str
        Empty when no treatment with iron was chosen.
    machine : Machine or None
        The applicator.
    status, rule : str
        What the card allows, and why; the rule is empty when all is well.
    """

    product: Product | None
    form: str
    machine: Machine | None
    status: str
    rule: str = ""


def iron_card(specification: Specification) -> Card:
    """Return the card that the site's iron is planned from."""
    product, rule = _product(specification)
    if product is None:
        form = _form_offered(specification)
        return Card(None, form, _machine(form, None, specification), PRICING, rule)
    return card_of(product, specification)


def card_of(product: Product, specification: Specification) -> Card:
    """Return one product as the iron of the site, whatever else there is."""
    machine = _machine(product.form, product, specification)
    return Card(product, product.form, machine, *_checked(product, machine, specification))


def first_day(specification: Specification) -> dt.date:
    """Return the first day on which work can begin: never before today."""
    today: dt.date = specification.choice("today") or dt.date.min
    return max(today, specification.choice("first_day") or today)


def _product(specification: Specification) -> tuple[Product | None, str]:
    """Return the card named, else the only one that could be used."""
    named = (specification.choice("products") or {}).get("iron")
    if named:
        return specification.products[named], ""
    cards = [each for each in specification.products.values() if each.form in OPERATION]
    claims = [each for each in cards if each.authorised_for_moss]
    possible = claims or [each for each in cards if each.form != "granule"]
    if len(possible) == 1:
        return possible[0], ""
    return None, "iron_several_cards" if claims else "iron_no_card"


def _form_offered(specification: Specification) -> str:
    offered = {
        name
        for choices in (specification.choices, *specification.by_zone.values())
        for name in choices.get("operations", ())
    }
    return next((form for form, name in OPERATION.items() if name in offered), "")


def _machine(form: str, product: Product | None, specification: Specification) -> Machine | None:
    """Return the applicator named, else the first of a fitting kind that the label allows."""
    named = (specification.choice("applicator") or {}).get("iron")
    if named:
        return machines.named(named, specification)
    user = specification.choice("user") or "home"
    kinds = SPRAYERS[user] if form in SPRAYED else SPREADERS
    generic = machines.generic().values()
    for kind in kinds:
        for each in (*specification.machines.values(), *generic):
            if each.kind == kind and (product is None or _allowed(product, each)):
                return each
    return None


def _allowed(product: Product, machine: Machine) -> bool:
    """Tell whether the label takes an applicator, which it may call by kind or by name."""
    words = {each.lower() for each in product.applicators}
    return not words or bool(words & {machine.kind, machine.name.lower()})


def _suits(product: Product, machine: Machine) -> bool:
    """Tell whether an applicator can put on the form that a product has."""
    kinds = SPRAYERS["professional"] if product.form in SPRAYED else SPREADERS
    return machine.kind in kinds


def _checked(
    product: Product, machine: Machine | None, specification: Specification
) -> tuple[str, str]:
    """Return status and rule: the first thing that the card does not allow."""
    country = str(specification.choice("country") or "")
    if not (product.authorised_for_moss and product.authorisation_no):
        return PRICING, "iron_pricing_only"
    if not (product.country and country):
        return NOT_SET, "iron_card_country_not_set"
    if product.country != country:
        return NOT_ALLOWED, "iron_card_country"
    if product.use_by is not None and product.use_by < first_day(specification):
        return NOT_ALLOWED, "iron_card_past"
    if product.user == "professional" and specification.choice("user") != "professional":
        return NOT_ALLOWED, "iron_card_user"
    if machine is not None and not _suits(product, machine):
        return NOT_ALLOWED, "iron_card_form"
    if machine is None or not _allowed(product, machine):
        return NOT_ALLOWED, "iron_card_applicator"
    return DO, ""
