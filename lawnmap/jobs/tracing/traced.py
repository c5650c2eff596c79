"""A number of a plan with its rule, what went into it, and the published values behind it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from lawnmap.exports.wording.amounts import SPACE, THIN
from lawnmap.pages.words import word
from lawnmap.reference import tables
from lawnmap.reference.rows import ReferenceValue, Source, SourceMissing

NO_SOURCE = ""


class Figure(NamedTuple):
    """One figure, or a range of two, and its unit."""

    low: float
    high: float
    unit: str


class Input(NamedTuple):
    """What went into a number: its name, the value with its unit, and where that came from."""

    name: str
    value: str
    origin: str


class Value(NamedTuple):
    """A value of the reference tables, as it was used."""

    id: str
    value: str
    conditions: str
    standing: str
    source: str


class Traced(NamedTuple):
    """One or more numbers that a single rule gave.

    Attributes
    ----------
    what : str
        What the numbers are of.
    figures : tuple of Figure
        As they were worked out, unrounded.
    sheet : str
        As the papers print them, in words; numbers are rounded there.
    rule : str
        Id of the rule; empty for what a label or the site itself says.
    how : str
        The sentence of the rule.
    standing : str
        The weakest standing of rule and values.
    inputs, values, sources
        What the rule was given, and by whom it was published.
    """

    what: str
    figures: tuple[Figure, ...]
    sheet: str
    rule: str
    how: str
    standing: str
    inputs: tuple[Input, ...]
    values: tuple[Value, ...]
    sources: tuple[str, ...]


def traced(
    what: str,
    rule_id: str,
    row: Mapping[str, Any],
    *,
    figures: Iterable[Figure] = (),
    sheet: str = "",
    inputs: Iterable[Input] = (),
    used: Iterable[str] = (),
    more: Iterable[Value] = (),
    standing: str = "",
) -> Traced:
    """Return what a rule gave for a row.

    Parameters
    ----------
    what, rule_id, sheet, figures, inputs
        As in :class:`Traced`.
    row : mapping
        Fills the blanks of the rule's sentence.
    used : iterable of str
        Ids of reference values and sources beyond those of the rule.
    more : iterable of Value
        Rows of other reference tables: a class of a scale, a machine of no make, a wait.
    standing : str
        Of what the rule hands on, where that is not always of the rule's own: a dose is the label's
        or a rule of thumb, a strip is set by law or by nobody.
    """
    try:
        rule = tables.rule(rule_id)
    except SourceMissing:  # a plugin's own
        how = word("why.unknown", rule=rule_id)
        return Traced(
            what, tuple(figures), printed(sheet), rule_id, how, "", tuple(inputs), tuple(more), ()
        )
    ids = dict.fromkeys([*rule.values, *used])
    values = [of_value(tables.value(each)) for each in ids if each in tables.values()]
    values += [each for each in more if each not in values]
    cited = [*rule.sources, *(each for each in ids if each in tables.sources())]
    return Traced(
        what,
        tuple(figures),
        printed(sheet),
        rule_id,
        tables.sentence(rule_id, row),
        _weakest(standing or rule.standing, values),
        tuple(dict.fromkeys(inputs)),
        tuple(values),
        tuple(dict.fromkeys(told(each) for each in cited)),
    )


def _weakest(standing: str, values: Iterable[Value]) -> str:
    """Return the weakest of a standing and those of values; law stands by itself."""
    if standing not in tables.STANDINGS:
        return standing
    return tables.weakest([standing, *(each.standing for each in values)])


def printed(words: str) -> str:
    """Return words of a paper with plain spaces, and no space inside a number."""
    return words.replace(THIN, "").replace(SPACE, " ")


def of_value(found: ReferenceValue) -> Value:
    """Return a reference value as it is told: its figure, the range it lies in, and its source."""
    spread = f"{tables.shown(found.low)} to {tables.shown(found.high)}"
    if found.value is None:
        value = f"{spread} {found.unit}"
    elif found.low == found.high:
        value = f"{tables.shown(found.value)} {found.unit}"
    else:
        value = f"{tables.shown(found.value)} {found.unit} ({spread})"
    return Value(found.id, value, found.conditions, found.standing, told(found.source))


def told(key: str) -> str:
    """Return a source in words: who, what and where; empty for none."""
    return shown(tables.source(key)) if key else NO_SOURCE


def shown(found: Source) -> str:
    """Return a source's author, title, publisher, year and place."""
    parts = (found.author, found.title, found.publisher, found.year, found.where)
    return ", ".join(dict.fromkeys(part for part in parts if part))
