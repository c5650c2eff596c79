"""What a chosen programme leaves for a later season: kept in the plan, without an amount."""

from __future__ import annotations

from dataclasses import replace

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.processing.days.season_year import season_year
from lawnmap.processing.iron.set_aside import set_aside
from lawnmap.schema import DO, LATER, NO_WORK, PRICING

SPRING_IRON, SEED_NOW, IRON_NOW = "spring iron", "seed now", "iron now"
IRON, SEED, ALL = "iron", "seed", "all"
OVERSEEDING = "overseeding"


def left(programme: str, zones: gpd.GeoDataFrame, specification: Specification) -> str:
    """Return what a programme leaves for later: iron, seed, all or nothing."""
    if programme == SPRING_IRON:
        return SEED if season_year(zones, specification).in_spring() else ALL
    return {SEED_NOW: IRON, IRON_NOW: SEED}.get(programme, "")


def following(zones: gpd.GeoDataFrame, specification: Specification) -> Specification:
    """Return the choices with what the programme leaves for later under ``postponed``.

    Where seed is left for autumn in spring, the blades only go lightly: ``blades_light``.
    """
    later = left(str(specification.choice("programme") or ""), zones, specification)
    light = later == SEED and season_year(zones, specification).in_spring()
    added = {"postponed": later, "blades_light": light}
    return replace(specification, choices={**specification.choices, **added})


def follow(steps: pd.DataFrame, asked: pd.DataFrame, specification: Specification) -> pd.DataFrame:
    """Return the steps with a row for everything that is left for later, and why.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps`` worked out with what is postponed left out.
    asked : DataFrame
        The same table as it would be without a programme.
    specification : Specification
        As :func:`following` returned it.
    """
    later = specification.choice("postponed")
    live = asked["status"].isin([DO, PRICING]) & ~asked["operation"].isin(NO_WORK)
    if later == ALL:
        waiting = set_aside(asked[live], "programme_later_all", LATER)
        return pd.concat([asked[~live], waiting]).sort_index().astype(steps.dtypes)
    if later == IRON:
        waits = steps["status"] == LATER
        waiting = set_aside(steps[waits], "programme_later_iron", LATER)
        return pd.concat([steps[~waits], waiting]).sort_index().astype(steps.dtypes)
    if later != SEED:
        return steps
    spring = bool(specification.choice("blades_light"))
    rule = "programme_later_seed_autumn" if spring else "programme_later_seed"
    waiting = set_aside(asked[live & (asked["operation"] == OVERSEEDING)], rule, LATER)
    place = {zone_id: number for number, zone_id in enumerate(dict.fromkeys(asked["zone_id"]))}
    table = pd.concat([steps, waiting], ignore_index=True)
    # Stable, and what waits stands behind all that is done this season.
    table = table.sort_values(
        "zone_id", key=lambda ids: ids.map(place), kind="stable", ignore_index=True
    )
    table["sequence"] = table.groupby("zone_id").cumcount() + 1
    return table.astype(steps.dtypes)
