"""What each step counts as in the table of seasons."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap.model import Product, Specification
from lawnmap.processing.days.waits import ROLE
from lawnmap.schema import DO, DONE, PRICING

HEAVY = ("renovate", "staged")
SPRAYS = ("iron_liquid", "iron_soluble")
# For treatments of others, which are known by their kind alone.
BY_KIND = {"blades": "blades", "seed": "seed"}


class Asked(NamedTuple):
    """What of a step decides its days.

    Attributes
    ----------
    role : str
        As in the table of seasons; empty when it has none there.
    seeded : bool
        Whether the step sows, or seed follows it.
    rainfast_h : float
        Dry hours the label asks for [h].
    """

    role: str
    seeded: bool = False
    rainfast_h: float = 0.0

    @property
    def spray(self) -> bool:
        """Whether it sprays iron."""
        return self.role == "iron spray"

    @property
    def iron(self) -> bool:
        """Whether it brings iron."""
        return self.spray or self.role.startswith("lawn sand")

    @property
    def blades(self) -> bool:
        """Whether it works with blades."""
        return self.role.startswith("blades")


def asked_of(
    steps: pd.DataFrame, zones: gpd.GeoDataFrame, specification: Specification
) -> list[Asked]:
    """Return what each row of the table ``steps`` asks of the seasons."""
    verdict = zones["verdict"].to_dict()
    rows = steps[["zone_id", "operation", "kind", "status", "product"]].to_dict("records")
    roles = [ROLE.get(row["operation"], BY_KIND.get(row["kind"], "")) for row in rows]
    sown = {
        row["zone_id"]
        for row, role in zip(rows, roles, strict=True)
        if role == "seed" and row["status"] in (DO, PRICING, DONE)
    }
    light = bool(specification.choice("blades_light"))
    return [
        _asked(
            row["operation"],
            role,
            heavy=verdict.get(row["zone_id"]) in HEAVY and not light,
            seeded=role == "seed" or row["zone_id"] in sown,
            product=specification.products.get(row["product"]),
        )
        for row, role in zip(rows, roles, strict=True)
    ]


def _asked(
    operation: str, role: str, *, heavy: bool, seeded: bool, product: Product | None
) -> Asked:
    if role == "blades":
        return Asked("blades heavy" if heavy else "blades light", seeded)
    if role != "iron":
        return Asked(role, seeded and role == "seed")
    rainfast_h = (product and product.rainfast_h) or 0.0
    return Asked(iron_role(product, sprayed=operation in SPRAYS), rainfast_h=rainfast_h)


def iron_role(product: Product | None, *, sprayed: bool) -> str:
    """Return what an iron counts as in the table of seasons."""
    if sprayed:
        return "iron spray"
    # A card that does not say may well hold nitrogen.
    free = product is not None and product.nitrogen_pct == 0
    return "lawn sand" if free else "lawn sand with nitrogen"
