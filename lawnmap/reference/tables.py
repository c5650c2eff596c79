"""The published values: looked up by id, with unit, source and standing.

Every number that the plan uses stands in one of the CSV files beside this module. A value without
a single figure (``value`` is None) is a range only: nobody good enough to rely on printed one.

The sentence of a rule has two kinds of blank: ``{column}`` is the row's own value, and
``{value:id}`` a reference value with its unit (a range when it has no single figure).
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING, TypeVar

from lawnmap.reference.reading import lines, table
from lawnmap.reference.rows import (
    Caution,
    Dissolves,
    Gate,
    GenericMachine,
    Interval,
    Kit,
    RatingClass,
    ReferenceValue,
    Rule,
    Salt,
    Season,
    Seed,
    Source,
    SourceMissing,
    Turf,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

# From the firmest to the weakest.
STANDINGS = ("label", "published", "from memory", "common practice, no source")

BLANK = re.compile(r"\{(value:)?(\w+)\}")
SPOKEN = {"share": " %", "times": "", "count": "", "d": " days"}  # units as a sentence has them
MISSING = "?"
BIG = 100  # from here on whole numbers are enough

Row = TypeVar("Row")


def _find(known: Mapping[str, Row], key: str, what: str) -> Row:
    try:
        return known[key]
    except KeyError:
        raise SourceMissing(f"there is no {what} {key!r} in the reference tables") from None


@cache
def sources() -> dict[str, Source]:
    """Return every source by id."""
    return {each.id: each for each in table(Source, "sources")}


@cache
def values() -> dict[str, ReferenceValue]:
    """Return every value by id, densities included."""
    rows = table(ReferenceValue, "values") + table(ReferenceValue, "densities")
    return {each.id: each for each in rows}


@cache
def rules() -> dict[str, Rule]:
    """Return every rule by id."""
    return {each.id: each for each in table(Rule, "rules")}


@cache
def scales() -> dict[str, tuple[RatingClass, ...]]:
    """Return every scale by name (``moss``, ``thatch``, ``thatch fine``), lowest class first."""
    found: dict[str, tuple[RatingClass, ...]] = {}
    for each in table(RatingClass, "rating_scales"):
        found[each.scale] = (*found.get(each.scale, ()), each)
    return found


@cache
def turfs() -> dict[str, Turf]:
    """Return every turf type."""
    return {each.turf_type: each for each in table(Turf, "turf")}


@cache
def intervals() -> dict[tuple[str, str], Interval]:
    """Return every wait by what comes before and after."""
    return {(each.before, each.after): each for each in table(Interval, "intervals")}


@cache
def machines() -> dict[str, GenericMachine]:
    """Return every generic machine by id."""
    return {each.id: each for each in table(GenericMachine, "machines")}


@cache
def seeds() -> dict[str, Seed]:
    """Return every species and mixture by id."""
    return {each.id: each for each in table(Seed, "seeds")}


@cache
def solubility() -> tuple[Dissolves, ...]:
    """Return the solubility table, coldest first."""
    return table(Dissolves, "solubility")


@cache
def cautions() -> tuple[Caution, ...]:
    """Return every caution in the order it is shown."""
    return table(Caution, "cautions")


@cache
def kit() -> tuple[Kit, ...]:
    """Return everything that may go on the van, in the order it is listed."""
    return table(Kit, "kit")


@cache
def seasons() -> tuple[Season, ...]:
    """Return every season of every role."""
    return table(Season, "seasons")


@cache
def gates() -> tuple[Gate, ...]:
    """Return every gate in the order it is shown."""
    return table(Gate, "gates")


@cache
def atomic_weights() -> dict[str, float]:
    """Return standard atomic weights by element."""
    return {line["element"]: float(line["weight"]) for line in lines("elements")}


@cache
def salts() -> dict[str, Salt]:
    """Return every compound an analysis may be stated as, by formula."""
    elements = atomic_weights()
    return {
        line["formula"]: Salt(
            line["formula"], line["name"], {element: int(line[element]) for element in elements}
        )
        for line in lines("salts")
    }


def source(key: str) -> Source:
    """Return one source; SourceMissing when there is none (so do all below)."""
    return _find(sources(), key, "source")


def value(key: str) -> ReferenceValue:
    """Return one value."""
    return _find(values(), key, "value")


def rule(key: str) -> Rule:
    """Return one rule."""
    return _find(rules(), key, "rule")


def scale(key: str) -> tuple[RatingClass, ...]:
    """Return the classes of one scale, lowest first."""
    return _find(scales(), key, "scale")


def bands(key: str) -> tuple[tuple[float, float], ...]:
    """Return lower and upper edges of one scale, as :mod:`lawnmap.agronomy.ratings` wants them."""
    return tuple((each.lower, each.upper) for each in scale(key))


def turf(key: str) -> Turf:
    """Return one turf type."""
    return _find(turfs(), key, "turf type")


def machine(key: str) -> GenericMachine:
    """Return one generic machine."""
    return _find(machines(), key, "machine")


def seed(key: str) -> Seed:
    """Return one species or mixture."""
    return _find(seeds(), key, "seed")


def salt(key: str) -> Salt:
    """Return one compound by formula."""
    return _find(salts(), key, "salt")


def interval(before: str, after: str) -> Interval:
    """Return the wait between two operations."""
    try:
        return intervals()[before, after]
    except KeyError:
        raise SourceMissing(f"there is no wait from {before!r} to {after!r}") from None


def weakest(standings: Iterable[str]) -> str:
    """Return the weakest of some standings; ``label`` when there are none."""
    return max(standings, key=STANDINGS.index, default=STANDINGS[0])


def sentence(rule_id: str, row: Mapping[str, object]) -> str:
    """Return the sentence of a rule with its blanks filled.

    Parameters
    ----------
    rule_id : str
        Id of a rule.
    row : mapping
        Column names to values, such as one row of the zones or steps.

    Raises
    ------
    SourceMissing
        When there is no such rule.

    Examples
    --------
    >>> sentence("passes_by_thatch", {"passes": 2.0})[:15]
    'Most passes: 2.'
    """

    def fill(blank: re.Match[str]) -> str:
        if blank[1]:
            return _quoted(value(blank[2]))
        return shown(row.get(blank[2]))

    return BLANK.sub(fill, rule(rule_id).sentence)


def shown(cell: object) -> str:
    """Return a value as a person reads it: three figures, text as it is, ``?`` when missing."""
    if cell is None:
        return MISSING
    if isinstance(cell, str):
        return cell or MISSING
    try:
        number = float(cell)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return MISSING
    if not math.isfinite(number):
        return MISSING
    if abs(number) >= BIG:
        return f"{number:.0f}"
    exact = f"{number:.4g}"  # 3.125 is a label's rate and not 3.12
    return exact if float(exact) == number else f"{number:.3g}"


def _quoted(figure: ReferenceValue) -> str:
    """Return a reference value with its unit."""
    factor = 100 if figure.unit == "share" else 1
    unit = SPOKEN.get(figure.unit, f" {figure.unit}")
    if figure.value is None:
        return f"{shown(figure.low * factor)} to {shown(figure.high * factor)}{unit}"
    return f"{shown(figure.value * factor)}{unit}"
