"""A piece of work held against the label card and against what was done on the zone before.

Nothing is refused here: what was done was done, and the record has to say so.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from lawnmap.files.numbers import number
from lawnmap.model import Product
from lawnmap.processing.iron.label_card import OPERATION
from lawnmap.processing.records.recorded import Row, counts_as, day, work
from lawnmap.reference import tables

ROUNDING = 0.005  # of scales and of the area, before a dose is told to be above the label's
LONGEST_LABEL_DAYS = 730  # the most that a card can say from seed to iron: see store/cards.py
FORMS = {"seed": ("seed",), "feed": ("feed", "granule", "lawn sand"), "iron": tuple(OPERATION)}
SPRAYED = ("iron_liquid", "iron_soluble")


class Label(NamedTuple):
    """What a card says of one application.

    Attributes
    ----------
    card : Product
    per_m2 : float or None
        Product on one m² [`unit`/m²]; None when the card does not say.
    unit : str
        ``g`` or ``ml``.
    iron : mapping of str to float or None
        Grams of iron in one ``g`` and in one ``ml``.
    """

    card: Product
    per_m2: float | None
    unit: str
    iron: Mapping[str, float | None]


Labels = Mapping[str, Label]


def warnings(row: Row, others: Sequence[Row], labels: Labels) -> list[str]:
    """Return what is to be said of a new row, each a whole sentence.

    Parameters
    ----------
    row : mapping
        With a day that can be read.
    others : sequence of mapping
        Live rows under the zones of today: see
        :func:`~lawnmap.processing.records.recorded.handed_down`.
    labels : mapping of str to Label
        By product, of every product that the rows name and there is a card of.
    """
    label = labels.get(row.get("product", ""))
    found: list[str] = []
    if label is not None:
        found += _of_card(row, label)
        found += _over_rate(row, label)
        found += _too_soon(row, others, label.card)
        found += _too_often(row, others, label.card)
    elif counts_as(row) == "iron":
        named = row.get("product")
        why = f"There is no label card of {named}" if named else "The product is not said"
        found.append(f"{why}: dose and waits were held against no label.")
    return [*found, *_seed_and_iron(row, others, labels)]


def iron_total(row: Row, others: Sequence[Row], labels: Labels) -> str:
    """Return a sentence on the elemental iron that the zone of a row got in its year.

    Empty for work that has nothing to do with iron. The doses are added up as if all had fallen on
    the same ground. No source gives a yearly figure to hold the sum against.
    """
    if counts_as(row) not in ("iron", "seed") and iron_g_m2(row, labels) is None:
        return ""
    doses, unknown = [], 0
    for each in work([*others, row], row["zone_id"]):
        grams = iron_g_m2(each, labels)
        if _year(each) != _year(row):
            continue
        if grams is not None:
            doses.append(grams)
        elif counts_as(each) == "iron":
            unknown += 1
    parts = [f"{sum(doses):.3g} g/m² in {_count(len(doses), 'application')}"] if doses else []
    if unknown:
        parts.append(f"{_count(unknown, 'application')} of which the iron is not known")
    where = f"Elemental iron on {row['zone_id']} in {_year(row)}"
    return f"{where}: {', and '.join(parts)}." if parts else ""


def iron_g_m2(row: Row, labels: Labels) -> float | None:
    """Return the elemental iron of a row [g/m²]; None when it cannot be worked out, or is none."""
    label = labels.get(row.get("product", ""))
    unit = row.get("dose_unit", "").partition("/")[0]
    dose, per_unit = _number(row, "dose"), label.iron.get(unit) if label is not None else None
    return None if dose is None or not per_unit else dose * per_unit


def _of_card(row: Row, label: Label) -> Iterable[str]:
    card, when, role = label.card, day(row), counts_as(row)
    if role in FORMS and card.form not in FORMS[role]:
        yield f"{card.name} is {card.form} by its card, and the work is {row['operation']}."
    elif role == "iron" and OPERATION[card.form] != row["operation"]:
        yield (
            f"{card.name} is {card.form} by its card: that is {OPERATION[card.form]}, "
            f"not {row['operation']}."
        )
    if role == "iron" and not card.authorised_for_moss:
        yield f"The card of {card.name} claims no control of moss: it is not authorised for it."
    if card.use_by is not None and when is not None and when > card.use_by:
        yield f"The approval of {card.name} ended on {card.use_by}, before this work."
    force, stop = _number(row, "wind_force"), tables.value("wind_stop_force").number
    if row["operation"] in SPRAYED and force is not None and force >= stop:
        yield f"Wind force {force:g}: from force {stop:g} on nothing is to be sprayed."


def _over_rate(row: Row, label: Label) -> Iterable[str]:
    dose, unit = _number(row, "dose"), row.get("dose_unit", "").partition("/")[0]
    if dose is None or label.per_m2 is None:
        return
    rate, density = label.per_m2, label.card.density_kg_l
    if unit != label.unit:
        if density is None or {unit, label.unit} != {"g", "ml"}:
            yield (
                f"The dose is in {unit}/m² and the label's rate in {label.unit}/m²: they were not "
                "compared."
            )
            return
        rate = rate * density if unit == "g" else rate / density
    if dose > rate * (1 + ROUNDING):
        yield (
            f"The dose, {dose:.4g} {unit}/m², is above the label's rate, {rate:.4g} {unit}/m²: "
            f"{dose / rate:.3g} times as much."
        )


def _too_soon(row: Row, others: Sequence[Row], card: Product) -> Iterable[str]:
    least = card.least_days_between
    if least is None:
        return
    for other, gap in _nearest(_gaps(row, _same_product(row, others, card.name))):
        if abs(gap) < least:
            named = "" if other.get("product") else " (which names no product)"
            yield (
                f"{card.name} on {row['zone_id']}: {_days(abs(gap))} between {_when(row)} and "
                f"{_when(other)}{named}, and its label wants {least}."
            )


def _too_often(row: Row, others: Sequence[Row], card: Product) -> Iterable[str]:
    most, year = card.most_doses_a_year, _year(row)
    same = [each for each in _same_product(row, others, card.name) if _year(each) == year]
    if most is not None and len(same) + 1 > most:
        yield (
            f"This is application {len(same) + 1} of {card.name} on {row['zone_id']} in {year}, "
            f"and its label allows {most} a year."
        )


def _nearest(gaps: list[tuple[Row, int]]) -> list[tuple[Row, int]]:
    """Return the nearest row before and the nearest after, as far as there are."""
    before = sorted((each for each in gaps if each[1] >= 0), key=_gap)
    after = sorted((each for each in gaps if each[1] < 0), key=_gap)
    return [*before[:1], *after[-1:]]


def _gap(each: tuple[Row, int]) -> int:
    return each[1]


def _same_product(row: Row, others: Sequence[Row], product: str) -> list[Row]:
    return work(others, row["zone_id"], counts_as(row), product=product)


def _seed_and_iron(row: Row, others: Sequence[Row], labels: Labels) -> Iterable[str]:
    """Return what is wrong between seed and iron: one sentence for either order, the worst."""
    role = counts_as(row)
    if role not in ("seed", "iron"):
        return
    other_role = "iron" if role == "seed" else "seed"
    waits: dict[str, tuple[float, str]] = {}
    for other, gap in _gaps(row, work(others, row["zone_id"], other_role)):
        iron, seed = (other, row) if role == "seed" else (row, other)
        label = labels.get(iron.get("product", ""))
        # Of one day, iron counts as the first: that is the longer known wait.
        iron_first = gap == 0 or (gap > 0) == (role == "seed")
        check = _seed_after if iron_first else _iron_after
        short, told = check(iron, seed, abs(gap), label.card if label else None)
        if short > waits.get(check.__name__, (0.0, ""))[0]:
            waits[check.__name__] = short, told
    yield from (told for _, told in waits.values())


def _seed_after(iron: Row, seed: Row, gap: int, card: Product | None) -> tuple[float, str]:
    """Return the days that are missing from iron to seed, 0 for none, and the sentence."""
    days = card.iron_to_seed_days if card is not None else None
    said = f"its label wants {days}"
    if days is None:
        days = tables.interval("iron", "seed").usual_days or 0
        said = f"no label card says how many it takes, and the longest published wait is {days}"
    return days - gap, (
        f"Seed on {seed['zone_id']} on {_when(seed)} is {_days(gap)} after the iron of "
        f"{_when(iron)}: {said}."
    )


def _iron_after(iron: Row, seed: Row, gap: int, card: Product | None) -> tuple[float, str]:
    """Return the days that are missing from seed to iron, 0 for none, and the sentence."""
    days = card.seed_to_iron_days if card is not None else None
    said = f"its label wants {days}"
    if days is None:
        days, said = LONGEST_LABEL_DAYS, "no label card says when new grass takes it: do not apply"
    return days - gap, (
        f"Iron on {iron['zone_id']} on {_when(iron)} is {_days(gap)} after the seed of "
        f"{_when(seed)}: {said}."
    )


def _gaps(row: Row, others: Iterable[Row]) -> list[tuple[Row, int]]:
    """Return other rows with the days from each to this one; below 0 for those after it."""
    mine = day(row)
    return [(other, (mine - when).days) for other in others if mine and (when := day(other))]


def _days(number: int) -> str:
    return _count(number, "day")


def _when(row: Row) -> str:
    return row["date"].strip()


def _year(row: Row) -> int:
    when: dt.date | None = day(row)
    return 0 if when is None else when.year


def _number(row: Row, name: str) -> float | None:
    """Return a cell as a number; None for what somebody wrote there by hand."""
    try:
        return number(row.get(name, ""))
    except ValueError:
        return None


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
