"""The step ``cautions``: what has to be said with this work on this site, and nothing else."""

from __future__ import annotations

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.processing import machines
from lawnmap.processing.buying.labour import labour
from lawnmap.processing.days.waits import ROLE
from lawnmap.processing.iron.chain import told as squeeze
from lawnmap.processing.iron.label_card import first_day
from lawnmap.reference import tables
from lawnmap.schema import DO, PRICING

NOT_ASKED = "Nothing hidden is mapped. Not asked: walk and ask before blades."
NO_WATER = "No water or drain is mapped: walk and look before any iron goes on."
NOT_SET = "A strip along water or drains is not set (label, law, site rule). Not set: do not apply."
FEED_NOT_SET = (
    "A strip along water or drains is not set for feed (its label, strips.feed or strips.legal). "
    "Not set: do not apply."
)
SEVERAL_WAYS = "Several ways in are mapped: check that the machine fits through the one you take."
STEPS_IN = "There are steps on a way in: check that the machine can be carried."
SWEEP = "Sweep and dry-clean paving on the day iron goes on; wet iron stains at once."
PRICES = (
    "For pricing only means: not an application rate. Amounts are for buying until there is a "
    "label card that allows the product here."
)
SPRING = (
    "Spring: light work only unless there is a reason. A heavy renovation meets drought and weeds; "
    "late summer to early autumn is kinder to it."
)
UK = "GB"
SPRING_MONTHS = (2, 3, 4, 5)


def cautions(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    steps: pd.DataFrame,
    specification: Specification,
    own: tuple[str, ...] | None = None,
) -> tuple[str, ...]:
    """Return the cautions that apply, what was not asked first.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    features : GeoDataFrame
    steps : DataFrame
        The table ``steps``.
    specification : Specification
    own : tuple of str, optional
        Of :func:`organising`, where they are known already.
    """
    live = steps[steps["status"].isin([DO, PRICING])]
    said = [
        *_not_asked(zones, features, steps),
        *(organising(zones, steps, specification) if own is None else own),
        *([SPRING] if _heavy_in_spring(zones, specification) else []),
        *([PRICES] if (live["status"] == PRICING).any() else []),
    ]
    kinds = _kinds(live, specification)
    said += [each.sentence for each in tables.cautions() if each.applies_to in kinds]
    if "iron" in kinds and features["feature"].isin(["paving", "building"]).any():
        said.append(SWEEP)
    applied = live.loc[live["status"] == DO, "product"]  # a price says nothing of keeping off
    said += [each for name in sorted(set(applied)) for each in _of_label(name, specification)]
    return tuple(dict.fromkeys(said))


def organising(
    zones: gpd.GeoDataFrame, steps: pd.DataFrame, specification: Specification
) -> tuple[str, ...]:
    """Return the cautions for who plans and does the work: people, days, turns, programmes."""
    live = steps[steps["status"].isin([DO, PRICING])]
    return (*labour(steps, specification), *squeeze(live, zones, specification))


def _not_asked(
    zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, steps: pd.DataFrame
) -> list[str]:
    mapped = set(features["feature"])
    bladed = steps["kind"].eq("blades").any()
    iron = (zones["iron_status"] != "").any()
    ways = features[features["feature"] == "access"]
    found = [
        (bladed and "hidden" not in mapped, NOT_ASKED),
        (iron and not mapped & {"water", "drain"}, NO_WATER),
        (iron and (zones["water_strip_from"] == "not set").any(), NOT_SET),
        ((steps["rule"] == "not_set_feed_strip").any(), FEED_NOT_SET),
        (bladed and len(ways) > 1, SEVERAL_WAYS),
        (bladed and (ways["steps"] > 0).any(), STEPS_IN),
    ]
    return [text for applies, text in found if applies]


def _kinds(live: pd.DataFrame, specification: Specification) -> set[str]:
    """Return what the cautions table speaks of: kinds of treatment and machine, and iron.

    Those that an outside treatment brings speak of its operation.
    """
    found = {*live["kind"], *live["operation"]}
    for name in set(live["machine"]):
        machine = machines.named(name, specification)
        found |= {machine.kind} if machine is not None else set()
    roles = {ROLE.get(each, "") for each in live["operation"]}
    if "iron" in roles or (live["iron_g_m2"] > 0).any():
        found.add("iron")
    return found - {""}


def _of_label(name: str, specification: Specification) -> tuple[str, ...]:
    """Return what the label card of a product adds."""
    product = specification.products.get(name)
    if product is None:
        return ()
    keep_off = (
        (f"{name}, on keeping off: {product.keep_off.rstrip('.')}.",) if product.keep_off else ()
    )
    rainfast = (f"{name}: no rain for {product.rainfast_h:g} h.",) if product.rainfast_h else ()
    return (*keep_off, *rainfast, *(f"{name}: {each}" for each in product.cautions))


def _heavy_in_spring(zones: gpd.GeoDataFrame, specification: Specification) -> bool:
    """Tell whether a renovation falls in spring: as chosen, else by its first day in the UK."""
    season = specification.choice("season")
    by_day = (
        specification.choice("country") == UK and first_day(specification).month in SPRING_MONTHS
    )
    spring = season == "spring" or (not season and by_day)
    return bool(spring and zones["verdict"].isin(["renovate", "staged"]).any())
