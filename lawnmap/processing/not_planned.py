"""What a zone asked for by its own list of operations and does not get, each with the reason."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.processing.days.waits import ROLE
from lawnmap.processing.iron.label_card import OPERATION, iron_card
from lawnmap.processing.judgement.blades import YOUNG
from lawnmap.processing.judgement.verdicts import WORK
from lawnmap.reference import tables
from lawnmap.schema import DO, DONE, LATER, PRICING

PLANNED = (DO, DONE, PRICING, LATER)
BLADES = {"raking": "scarifying", "scarifying": "raking"}
FOUND = "what was found here asks for none."


def not_planned(
    zones: gpd.GeoDataFrame, steps: pd.DataFrame, specification: Specification
) -> Iterator[str]:
    """Yield one line for each operation that a zone names for itself and does not get.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    steps : DataFrame
        The table ``steps``.
    specification : Specification
    """
    for zone_id, own in specification.by_zone.items():
        if zone_id not in zones.index:
            continue
        rows = steps[steps["zone_id"] == zone_id].drop_duplicates("operation")
        of_operation = {row["operation"]: row for row in rows.to_dict("records")}
        zone = {str(key): cell for key, cell in zones.loc[zone_id].items()}
        named = dict.fromkeys(own.get("operations", ()))
        for name in named:
            row: dict[str, Any] = {str(k): v for k, v in of_operation.get(name, {}).items()}
            if row.get("status") not in PLANNED and not (
                BLADES.get(name) in named and BLADES[name] in of_operation
            ):
                reason = _reason(str(zone_id), name, row, zone, specification)
                yield (
                    f"zones.{zone_id}.operations names {name.replace('_', ' ')}, and it is not "
                    f"planned: {reason}"
                )


def _reason(
    zone_id: str,
    name: str,
    row: dict[str, Any],
    zone: dict[str, Any],
    specification: Specification,
) -> str:
    role = ROLE.get(name, name)
    if row.get("rule"):
        return tables.sentence(row["rule"], {**zone, **row})
    if zone["verdict"] not in WORK:
        return tables.sentence(zone["verdict_rule"], zone)
    if role == "iron":
        return _of_iron(name, zone, specification)
    if role == "blades":
        rule = zone["blades_rule"] if zone["passes"] > 0 else zone["passes_rule"]
        return tables.sentence(rule, zone) if rule else FOUND
    if role == "aerating" and zone["blades_rule"] == YOUNG:
        return tables.sentence(YOUNG, zone)
    if role == "dressing" and not (specification.choice("top_dressing") or {}).get("wanted"):
        return "top_dressing.wanted is false."
    if role in ("seed", "watering"):
        wanted = (specification.choice("seeding", zone_id) or {}).get("wanted", True)
        return tables.sentence("seed_not_wanted", zone) if wanted else "seeding.wanted is false."
    return FOUND


def _of_iron(name: str, zone: dict[str, Any], specification: Specification) -> str:
    """Return why a zone gets no iron, or which form it gets in place of the one named."""
    card = iron_card(specification)
    if card.product is not None and OPERATION.get(card.form) != name:
        return f"{card.product.name} is {card.form}."
    return tables.sentence(zone["iron_rule"], zone) if zone["iron_rule"] else FOUND
