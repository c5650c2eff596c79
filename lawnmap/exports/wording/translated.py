"""Sentences of rules in another language, from the words of the pages."""

from __future__ import annotations

import re
from collections.abc import Iterable

from lawnmap.exports.wording.amounts import number
from lawnmap.pages.words import ENGLISH, known, language, word
from lawnmap.reference import tables
from lawnmap.schema import BETWEEN

# Rules whose sentences stand in a plan as they are said, and have no blank for a column.
SAID = ("keep_off_wet", "keep_off_granules", "keep_off_seed")
SPAN = re.compile(r"\{value:([a-z_0-9]+)\}")
FULL_STOP = ". "


def translated(rule: str) -> str:
    """Return the sentence of a rule in the language spoken; empty in English, and without one.

    ``{value:NAME}`` in it is the figure of a published value, or its low and its high one.
    """
    if language() == ENGLISH:
        return ""
    found = known("rule", rule)
    return "" if found == rule.replace("_", " ") else SPAN.sub(_figures, found)


def in_language(text: str) -> str:
    """Return sentences of a plan in the language spoken; what a person typed stays as it is.

    Parameters
    ----------
    text : str
        One sentence or several, parted as the column ``keep_off`` has them or by full stops.
    """
    if language() == ENGLISH:
        return text
    own = {tables.sentence(rule, {}): translated(rule) for rule in SAID}
    for english, said in own.items():
        if said:
            text = text.replace(english, said).replace(english.removesuffix("."), said)
    return text.replace(f".{FULL_STOP}", FULL_STOP).replace(BETWEEN, FULL_STOP)


def as_typed(texts: Iterable[str]) -> list[str]:
    """Return the sentences of the column ``keep_off`` that a person typed: nobody translates them.

    Parameters
    ----------
    texts : iterable of str
        Cells of the column.
    """
    own = {tables.sentence(rule, {}).removesuffix(".") for rule in SAID}
    parts = [each.strip() for text in texts for each in text.split(BETWEEN)]
    return [each for each in dict.fromkeys(parts) if each and each.removesuffix(".") not in own]


def _figures(blank: re.Match[str]) -> str:
    value = tables.value(blank[1])
    low, high = (number(float(each), 1) for each in (value.low, value.high))
    return low if low == high else word("span.range", low=low, high=high)
