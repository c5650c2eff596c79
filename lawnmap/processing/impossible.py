"""The step ``impossible``: choices that cannot be, each named with a way out; none is dropped.

Where nothing sensible could be planned the choices are refused. Everything else is a line that
says what the plan does instead.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import geopandas as gpd
import pandas as pd

from lawnmap.errors import InputRefused
from lawnmap.model import Product, Specification
from lawnmap.processing import machines
from lawnmap.processing.iron.chain import longest_to_seed
from lawnmap.processing.iron.label_card import OPERATION, SPRAYERS, first_day, iron_card
from lawnmap.processing.judgement import ways_in
from lawnmap.processing.judgement.blades import KINDS
from lawnmap.processing.not_planned import not_planned
from lawnmap.reference import tables

FILE = "specification.toml"
FEEDS = ("feed", "granule", "lawn sand", "liquid", "soluble")
FORMS = {"iron": tuple(OPERATION), "seed": ("seed",), "feed": FEEDS, "dressing": ("dressing",)}
FAR_DAYS = 731
WET = SPRAYERS["professional"]
WAY_OUT = {
    "iron_card_user": "Name a card for home users under products.iron. Set user to professional "
    "only when whoever applies it may.",
    "iron_card_past": "Name a card that is in date on the first day, or begin earlier.",
    "iron_card_country": "Name a card that is authorised where the site lies.",
    "iron_card_country_not_set": "Set country, and the country on the card.",
    "iron_card_applicator": "Name one that the label allows under applicator.iron.",
    "iron_card_form": "Name one that suits the form under applicator.iron.",
    "iron_pricing_only": "Name a card whose label claims control of moss, with its number.",
    "iron_several_cards": "Name one under products.iron.",
}
SEED_RATE = (
    "seeding.rate_g_m2 is {rate:g}, and published rates run from {low:g} (overseeding) to {high:g} "
    "g/m² (new lawn): look for a slip. The plan takes it as typed."
)
SEED_IN_WAIT = (
    "Seed is wanted inside the wait after iron: from {first} the waits take {days} days, so iron "
    "allows seed from {sown}, and the last day is {last}. Begin by {begin}, set last_day to {sown} "
    'or later, or choose a programme ("seed now" leaves iron for spring, "iron now" seed).'
)


def refuse(specification: Specification) -> None:
    """Refuse a card named for what it is not.

    Raises
    ------
    InputRefused
        With the key and the forms it may have.
    """
    for use, name in (specification.choice("products") or {}).items():
        product = specification.products.get(name)
        if product is not None and product.form not in FORMS[use]:
            raise InputRefused(
                f"{name} is {product.form}",
                file=FILE,
                place=f"products.{use}",
                remedy=f"Name a card whose form is one of: {', '.join(FORMS[use])}.",
            )


def impossible(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    steps: pd.DataFrame,
    specification: Specification,
) -> tuple[str, ...]:
    """Return what was asked for and cannot be, with the way out of each.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    features : GeoDataFrame
    steps : DataFrame
        The table ``steps``, with its waits.
    specification : Specification
    """
    return (
        *_days(steps, specification),
        *_iron(zones, steps, specification),
        *_products(specification),
        *_applicators(specification),
        *_blades(zones, specification),
        *ways_in.too_wide(features, specification),
        *_operations(specification),
        *_seed_rate(specification),
        *not_planned(zones, steps, specification),
    )


def _days(steps: pd.DataFrame, specification: Specification) -> Iterator[str]:
    today: dt.date = specification.choice("today") or dt.date.min
    first, last = first_day(specification), specification.choice("last_day")
    if last is not None and last < today:
        yield (
            f"The last day, {last}, has passed: amounts stand, and no day is left. Move first_day "
            "and last_day to the next season."
        )
    elif last is not None:
        yield from _seed_in_wait(steps, specification, first, last)
    if first > today + dt.timedelta(days=FAR_DAYS) and today > dt.date.min:
        yield (
            f"The first day, {first}, is more than two years away: look for a slip. Approvals and "
            "waits are held against it."
        )


def _seed_in_wait(
    steps: pd.DataFrame, specification: Specification, first: dt.date, last: dt.date
) -> Iterator[str]:
    """Say when iron, its wait and seed do not fit between the first and the last day."""
    longest = longest_to_seed(steps)
    sown = first + dt.timedelta(days=longest)
    if longest and sown > last and not specification.choice("programme"):
        yield SEED_IN_WAIT.format(
            first=first, days=longest, sown=sown, last=last, begin=last - dt.timedelta(days=longest)
        )


def _iron(
    zones: gpd.GeoDataFrame, steps: pd.DataFrame, specification: Specification
) -> Iterator[str]:
    """Name a card of iron that the plan may not apply, and a rate above the upper limit."""
    card = iron_card(specification)
    wanted = (zones["iron_status"] != "").any()
    if wanted and card.rule in WAY_OUT:
        row = {
            "iron_product": card.product.name if card.product else "",
            "iron_machine": card.machine.name if card.machine else "an applicator that is to hand",
            "iron_form": card.form,
            "product": card.product.name if card.product else "",
        }
        yield f"{tables.sentence(card.rule, row)} {WAY_OUT[card.rule]}"
    above = steps[steps["rule"] == "iron_above_limit"]
    for _, step in above.drop_duplicates("product").iterrows():
        yield f"{step['product']}: {step['flag']}. No iron is planned."


def _products(specification: Specification) -> Iterator[str]:
    for use in ("seed", "feed"):
        product = _card(use, specification)
        if product is None:
            continue
        if product.use_by is not None and product.use_by < first_day(specification):
            yield (
                f"{product.name} is past its last day of use, {product.use_by}: amounts stand, "
                f"but name a fresh one under products.{use}."
            )
        if product.user == "professional" and specification.choice("user") != "professional":
            yield (
                f"{product.name} is for professional users and this plan is for a home user: name "
                f"another under products.{use}."
            )


def _applicators(specification: Specification) -> Iterator[str]:
    """Name a sprayer that is to put on something dry."""
    for use in ("seed", "feed"):
        name = (specification.choice("applicator") or {}).get(use, "")
        machine = machines.named(name, specification) if name else None
        product = _card(use, specification)
        wet = product is not None and product.form in ("liquid", "soluble")
        if machine is not None and machine.kind in WET and not wet:
            yield (
                f"applicator.{use} is {name}, which puts on liquids: name a spreader, or leave it "
                "empty."
            )


def _blades(zones: gpd.GeoDataFrame, specification: Specification) -> Iterator[str]:
    """Name blades that were chosen for a zone and do not go there, with what goes instead."""
    for zone_id, zone in zones[zones["passes"] > 0].iterrows():
        name = specification.choice("blades", str(zone_id)) or ""
        if name and zone["blades"] != name:
            instead = f"{zone['blades']} is planned" if zone["blades"] else "nothing is planned"
            yield (
                f"{name} is named under blades, and on {zone_id} {instead}: "
                f"{_no_blades(name, zone, specification)}"
            )


def _no_blades(name: str, zone: pd.Series, specification: Specification) -> str:
    machine = specification.machines.get(name)
    if machine is None or machine.kind not in KINDS:
        return "it is no rake or scarifier to hand. Name one that is, or add it to machines."
    operation = "raking" if machine.kind == KINDS[0] else "scarifying"
    if operation not in (specification.choice("operations", str(zone.name)) or ()):
        return f"operations leaves {operation} out. Add it, or name other blades."
    return f"{tables.sentence(zone['blades_rule'], dict(zone))} Name other blades."


def _card(use: str, specification: Specification) -> Product | None:
    return specification.products.get((specification.choice("products") or {}).get(use, ""))


def _operations(specification: Specification) -> Iterator[str]:
    """Name what is listed twice, blades that exclude each other, and a form that is not listed."""
    lists = {"": specification.choice("operations") or ()}
    lists |= {
        f"zones.{zone_id}.": own["operations"]
        for zone_id, own in specification.by_zone.items()
        if "operations" in own
    }
    for place, names in lists.items():
        for name in sorted({each for each in names if list(names).count(each) > 1}):
            yield f"{place}operations names {name} twice: it is planned once."
        if place and {"raking", "scarifying"} <= set(names):
            yield (
                f"{place}operations names raking and scarifying: a zone gets one of them, the best "
                "of what is to hand. To settle which, leave the other out."
            )
    card = iron_card(specification)
    listed = {name for names in lists.values() for name in names}
    wanted = OPERATION.get(card.form, "")
    if card.product is not None and wanted not in listed and listed & set(OPERATION.values()):
        yield (
            f"{card.product.name} is {card.form}, which goes on by {wanted}, and operations does "
            f"not name that: add it, or name another card under products.iron. No iron is planned."
        )


def _seed_rate(specification: Specification) -> Iterator[str]:
    rate = (specification.choice("seeding") or {}).get("rate_g_m2")
    seeds = tables.seeds().values()
    low = min(each.overseed_low_g_m2 for each in seeds)
    high = max(each.new_high_g_m2 for each in seeds)
    if rate is not None and not low <= rate <= high:
        yield SEED_RATE.format(rate=rate, low=low, high=high)
