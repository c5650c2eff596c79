"""Legal strips along water and drains: label, law or site rule set them, or nothing is applied."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

import geopandas as gpd

from lawnmap.model import Product, Specification
from lawnmap.processing.iron.label_card import iron_card

NONE_MAPPED = "none mapped"
STRIP_NOT_SET = "not set"
LEGAL = ("water", "drain")


class Width(NamedTuple):
    """Width of a strip [m] and who set it."""

    metres: float
    set_by: str

    @property
    def missing(self) -> bool:
        """Whether it is needed and nobody has set it."""
        return self.set_by == STRIP_NOT_SET


def legal_widths(
    kind: str, features: gpd.GeoDataFrame, specification: Specification
) -> dict[str, Width]:
    """Return the widest strip that label, law or site rule sets, for water and drains as mapped.

    A label's holds for drains too. Seed and blades bring nothing that law keeps from water.

    Parameters
    ----------
    kind : str
        ``spray``, ``granules``, ``feed``, ``seed`` or ``blades``.
    features : GeoDataFrame
    specification : Specification
    """
    if kind not in ("spray", "granules", "feed"):
        return {}
    product = _product(kind, specification)
    mapped = set(features["feature"].unique())
    return {each: _width(kind, each, product, specification) for each in LEGAL if each in mapped}


def widest(widths: Iterable[Width]) -> Width:
    """Return the widest of some strips; one that is not set stops them all.

    How near the water the lawn may be treated is just what nobody has said, so no zone can be
    called far enough from it: all wait until the width is set.
    """
    found = list(widths)
    if any(each.missing for each in found):
        return Width(0.0, STRIP_NOT_SET)
    return max(found, key=lambda each: each.metres, default=Width(0.0, NONE_MAPPED))


def _width(kind: str, feature: str, product: Product | None, specification: Specification) -> Width:
    found = []
    if product is not None and product.untreated_strip_m is not None:
        found.append(Width(float(product.untreated_strip_m), "label"))
    found += _ruled(kind, feature, specification)  # of two as wide the label is named: it binds
    return widest(found) if found else Width(0.0, STRIP_NOT_SET)


def _product(kind: str, specification: Specification) -> Product | None:
    if kind != "feed":
        return iron_card(specification).product
    named = (specification.choice("products") or {}).get("feed")
    return specification.products[named] if named else None


def _ruled(kind: str, feature: str, specification: Specification) -> Iterator[Width]:
    """Yield what law or a site rule sets: one for feed stands in place of the one for all."""
    strips = specification.choice("strips") or {}
    for table in ("feed", "legal") if kind == "feed" else ("legal",):
        rule = strips.get(table) or {}
        if rule.get(f"{feature}_m") is not None:
            yield Width(float(rule[f"{feature}_m"]), str(rule.get("from") or "site rule"))
            return
