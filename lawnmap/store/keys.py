"""Keys of a hand-written table: what each may hold, and how a wrong one is told.

One list of keys is both the check and the words: the file that ``start`` writes is made from the
same list, so the two cannot disagree.
"""

from __future__ import annotations

import datetime as dt
import difflib
import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from lawnmap.errors import InputRefused

LONGEST_TEXT = 2_000
FIRST_YEAR, LAST_YEAR = 1900, 2199  # any other is a slip, and some days before it are no days


class Key(NamedTuple):
    """One key.

    Attributes
    ----------
    name : str
        As it is typed.
    kind : str
        ``text``, ``number``, ``whole``, ``yes or no``, ``day``, ``names``, ``table``, ``tables``.
    default : Any
        What it is when it is left out; None when nothing stands for it.
    low, high : float
        The range of a number, both ends in.
    words : tuple of str
        The only texts allowed, when there are any.
    pattern : str
        What a text has to match, when anything.
    means : str
        What it means, for the person who types it.
    example : str
        A text that matches `pattern`.
    inside : tuple of Key
        The keys of a table.
    needed : bool
        Whether it may not be left out.
    """

    name: str
    kind: str
    default: Any = None
    low: float = -math.inf
    high: float = math.inf
    words: tuple[str, ...] = ()
    pattern: str = ""
    means: str = ""
    example: str = ""
    inside: tuple[Key, ...] = ()
    needed: bool = False


def read(values: Any, keys: Sequence[Key], *, file: str, place: str = "") -> dict[str, Any]:
    """Return the values of a table by key, with the defaults filled in.

    Raises
    ------
    InputRefused
        For a key that is not known, missing, of the wrong type, or out of range.
    """
    if not isinstance(values, dict):
        raise InputRefused("is not a table", file=file, place=place, remedy="See the example.")
    for name in values:
        if name not in {key.name for key in keys}:
            raise unknown(name, [key.name for key in keys], file=file, place=place)
    result = {}
    for key in keys:
        inner = f"{place}.{key.name}" if place else key.name
        if key.name in values:
            result[key.name] = _value(values[key.name], key, file, inner)
        elif key.needed:
            raise InputRefused("is missing", file=file, place=inner, remedy=f"Give {wanted(key)}.")
        elif key.kind == "table":
            result[key.name] = read({}, key.inside, file=file, place=inner)
        else:
            result[key.name] = list(key.default) if key.kind in LISTS else key.default
    return result


def nth(table: str, number: int, values: Any) -> str:
    """Return the place of one of several tables: ``product 2 "Moss iron"``."""
    title = values.get("name") if isinstance(values, dict) else None
    title = None if isinstance(title, dict | list) else title
    return f'{table} {number} "{title}"' if title else f"{table} {number}"


def unknown(name: str, known: Iterable[str], *, file: str, place: str) -> InputRefused:
    """Return the error for a name that is not known, with the one that was probably meant."""
    known = list(known)
    close = difflib.get_close_matches(name, known, n=1)
    listed = f"There are: {', '.join(known)}." if known else "There are none."
    return InputRefused(
        f"{name!r} is not known",
        file=file,
        place=place,
        remedy=f"Did you mean {close[0]!r}?" if close else listed,
    )


def wanted(key: Key) -> str:
    """Return what a key holds, in words."""
    if key.words:
        return "one of: " + ", ".join(f'"{word}"' for word in key.words)
    if key.kind in {"number", "whole"} and math.isfinite(key.low):
        return f"{NOUNS[key.kind]} from {key.low:g} to {key.high:g}"
    if key.pattern:
        return f"text such as {key.example!r}"
    return NOUNS[key.kind]


def _value(value: Any, key: Key, file: str, place: str) -> Any:
    if key.kind == "table":
        return read(value, key.inside, file=file, place=place)
    if key.kind == "tables":
        if not isinstance(value, list):
            raise InputRefused("is not a list", file=file, place=place, remedy="See the example.")
        return [
            read(each, key.inside, file=file, place=nth(place, number, each))
            for number, each in enumerate(value, start=1)
        ]
    if not HOLDS[key.kind](value) or not _allowed(value, key):
        if key.kind == "text" and isinstance(value, str) and len(value) > LONGEST_TEXT:
            raise InputRefused(
                f"is longer than {LONGEST_TEXT:,} characters",
                file=file,
                place=place,
                remedy="Say it in fewer words.",
            )
        shown = "true" if value is True else "false" if value is False else _shown(value)
        needed = wanted(key)
        if key.kind == "day" and type(value) is dt.date:
            needed = f"a day from {FIRST_YEAR} to {LAST_YEAR}"
        raise InputRefused(
            f"{shown} is not allowed", file=file, place=place, remedy=f"Give {needed}."
        )
    return float(value) if key.kind == "number" else value


def _shown(value: Any) -> str:
    """Return what was typed, no longer than a message has room for."""
    if isinstance(value, dict):  # may lie in another a thousand times
        return "a table"
    if isinstance(value, list) and not _is_names(value):
        return "a list of something else"
    if isinstance(value, dt.date):
        return value.isoformat()
    try:
        return repr(value)[:40]
    except ValueError:  # more digits than Python shows
        return "a number with very many digits"


def _allowed(value: Any, key: Key) -> bool:
    if key.words:
        return value in key.words
    if key.pattern:
        return re.fullmatch(key.pattern, value) is not None
    return key.kind not in {"number", "whole"} or key.low <= value <= key.high


def _is_number(value: Any) -> bool:
    """Tell whether this is a finite number; one of 400 digits is none that can be worked with."""
    try:
        return type(value) in {int, float} and math.isfinite(value)
    except OverflowError:
        return False


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST_TEXT and "\0" not in value


def _is_names(value: Any) -> bool:
    return isinstance(value, list) and all(_is_text(name) and name.strip() for name in value)


LISTS = {"names", "tables"}
HOLDS: Mapping[str, Callable[[Any], bool]] = {
    "text": _is_text,
    "number": _is_number,
    "whole": lambda value: type(value) is int,
    "yes or no": lambda value: type(value) is bool,
    "day": lambda value: type(value) is dt.date and FIRST_YEAR <= value.year <= LAST_YEAR,
    "names": _is_names,
}
NOUNS = {
    "text": 'text in "quotes"',
    "number": "a number",
    "whole": "a whole number",
    "yes or no": "true or false",
    "day": "a day without quotes, such as 2027-04-01",
    "names": 'a list such as ["a", "b"]',
    "table": "a table",
    "tables": "a list of tables",
}
