"""Seed, feed or dressing that nobody named, where the depot has only one such label card."""

from __future__ import annotations

from dataclasses import replace

from lawnmap.model import Product, Specification
from lawnmap.processing.iron.label_card import first_day

FORMS = {"seed": "seed", "feed": "feed", "dressing": "dressing"}


def only_cards(specification: Specification) -> tuple[Specification, tuple[str, ...]]:
    """Return the choices with the only card of each use named, and what is to be said of it.

    A card that is past its last day of use, or for professional users where a home user works, is
    not taken unasked.
    """
    products = dict(specification.choice("products") or {})
    told = []
    for use, form in FORMS.items():
        cards = [each for each in specification.products.values() if each.form == form]
        if products.get(use) or len(cards) != 1 or not _usable(cards[0], specification):
            continue
        products[use] = cards[0].name
        told.append(
            f"{cards[0].name} is the only {form} on a label card, so it is planned with. Name "
            f"another under products.{use} when it is not meant."
        )
    choices = {**specification.choices, "products": products}
    return (replace(specification, choices=choices) if told else specification), tuple(told)


def _usable(card: Product, specification: Specification) -> bool:
    fresh = card.use_by is None or card.use_by >= first_day(specification)
    suits = card.user != "professional" or specification.choice("user") == "professional"
    return fresh and suits
