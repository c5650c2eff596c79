"""Figures said in all three systems at once, for a page whose reader switches between them.

What says a figure takes the system of units as its last argument, or as ``units``. Such a function
is ``switched``: for a page with a switch it says the figure in each system, and puts the three
together as one text that goes where the one figure goes.
"""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

import pandas as pd

from lawnmap.agronomy.unit_systems import SYSTEMS
from lawnmap.pages.readings import MARKS, together

Say = TypeVar("Say", bound=Callable[..., str])
Anything = TypeVar("Anything")

FIRST = {f"{each} first": each for each in SYSTEMS}  # what a paper's units are on such a page


def first(units: str) -> str:
    """Return the system that is read, of a page with a switch the one it opens with.

    Examples
    --------
    >>> first("us first"), first("us")
    ('us', 'us')
    """
    return FIRST.get(units, units)


def with_switch(units: str) -> str:
    """Return what the units of a paper with a switch are, when it opens with these."""
    return f"{units} first"


def in_each(units: str, say: Callable[[str], str]) -> str:
    """Return what is said in a system; of a page with a switch in each of the three, together."""
    if units in FIRST:
        return together([say(each) for each in SYSTEMS], FIRST[units])
    return say(units)


def switched(say: Say) -> Say:
    """Make a function whose ``units`` come last say its figure in each system where asked to."""

    @functools.wraps(say)
    def said(*given: Any, **named: Any) -> str:
        if "units" in named:
            units = named.pop("units")
            return in_each(units, lambda each: say(*given, units=each, **named))
        if given[-1] in FIRST:
            return in_each(given[-1], lambda each: say(*given[:-1], each, **named))
        return say(*given, **named)

    return said  # type: ignore[return-value]  # it takes and gives what it wraps


def unmarked(value: Anything) -> Anything:
    """Return a paper, or anything on it, whose words hold none of the marks put round figures.

    What a person typed then cannot pass for a figure in three systems, whoever made the file.
    """
    return _unmarked(value)  # type: ignore[no-any-return]  # its type is the one it was given


def _unmarked(value: Any) -> Any:
    if isinstance(value, str):
        return MARKS.sub("", value)
    if isinstance(value, pd.DataFrame):
        return _table(value)
    if isinstance(value, Mapping):
        if "coordinates" in value:  # numbers without end, and no word among them
            return value
        return {_unmarked(key): _unmarked(each) for key, each in value.items()}
    if isinstance(value, tuple) and hasattr(value, "_fields"):
        return type(value)(*map(_unmarked, value))
    if isinstance(value, list | tuple):
        return type(value)(map(_unmarked, value))
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = [each.name for each in dataclasses.fields(value)]
        return dataclasses.replace(value, **{x: _unmarked(getattr(value, x)) for x in fields})
    return value


def _table(table: pd.DataFrame) -> pd.DataFrame:
    changed = {
        name: table[name].map(_unmarked)
        for name in table.columns
        if name != "geometry" and _marked(table[name])
    }
    made = table.assign(**changed)
    return made.set_axis(made.index.map(_unmarked)) if _marked(made.index) else made


def _marked(cells: pd.Series | pd.Index) -> bool:
    return any(isinstance(each, str) and MARKS.search(each) for each in cells)
