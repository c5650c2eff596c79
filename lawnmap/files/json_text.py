"""JSON as RFC 8259 and I-JSON (RFC 7493) have it, and no more: the site door and the site file.

The standard parser takes NaN, Infinity, 1e400, the last of two equal keys and half a surrogate
pair. Each of these has cost somebody a survey, so each is refused here with its place.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.files.utf8 import decode

LONGEST_INTEGER = 30


def loads(data: bytes, *, name: str, nesting: int = SITE.nesting) -> Any:
    """Return the JSON value in `data`.

    Parameters
    ----------
    data : bytes
        UTF-8, with or without a byte-order mark.
    name : str
        File name for messages.
    nesting : int
        The deepest bracket allowed.

    Raises
    ------
    InputRefused
        With line and column, byte position or key, for anything that is not I-JSON.
    """
    text = decode(data, name)
    try:
        value = json.loads(
            text,
            object_pairs_hook=_unique,
            parse_constant=_constant,
            parse_float=_float,
            parse_int=_integer,
        )
    except json.JSONDecodeError as error:
        raise InputRefused(
            f"is not JSON: {error.msg}",
            file=name,
            place=f"line {error.lineno}, column {error.colno}",
            remedy="Export the file again.",
        ) from error
    except RecursionError as error:
        raise _too_deep(name, nesting) from error
    except InputRefused as error:
        raise error.within(file=name) from None
    _walk(value, name, nesting)
    return value


def dumps(value: Any, *, indent: int | None = None) -> str:
    """Return `value` as JSON text; numbers as the shortest text that reads back to the same double.

    Raises
    ------
    ValueError
        For NaN and infinities, which JSON does not have.
    """
    separators = (",", ":") if indent is None else (",", ": ")
    return json.dumps(
        value, ensure_ascii=False, allow_nan=False, indent=indent, separators=separators
    )


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    result = dict(pairs)
    if len(result) != len(pairs):
        ((key, _),) = Counter(key for key, _ in pairs).most_common(1)
        raise InputRefused(
            f"the key {key[:40]!r} stands twice in one object", remedy="Keep one of the two."
        )
    return result


def _constant(text: str) -> Any:
    raise InputRefused(f"{text} is not a number JSON knows", remedy="Correct it or leave it out.")


def _float(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise InputRefused(f"the number {text[:20]} is too large", remedy="Correct it.")
    return value


def _integer(text: str) -> int:
    if len(text) > LONGEST_INTEGER:
        raise InputRefused(f"the number {text[:20]}… has too many digits", remedy="Correct it.")
    return int(text)


def _too_deep(name: str, nesting: int) -> InputRefused:
    return InputRefused(
        f"brackets are nested more than {nesting} deep", file=name, remedy="Flatten the data."
    )


def _walk(value: Any, name: str, nesting: int) -> None:
    """Check depth and text without recursion: nesting is what is being guarded against."""
    stack: list[tuple[Any, int]] = [(value, 1)]
    while stack:
        item, depth = stack.pop()
        if isinstance(item, str):
            _whole_characters(item, name)
        elif isinstance(item, (dict, list)):
            if depth > nesting:
                raise _too_deep(name, nesting)
            if isinstance(item, dict):
                for key in item:
                    _whole_characters(key, name)
                stack.extend((child, depth + 1) for child in item.values())
            elif not _plain_numbers(item):
                stack.extend((child, depth + 1) for child in item)


def _plain_numbers(items: list[Any]) -> bool:
    """Tell whether a list is a position, the commonest list there is and never worth a visit."""
    return all(type(item) is float or type(item) is int for item in items)


def _whole_characters(text: str, name: str) -> None:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        shown = text.encode("ascii", "backslashreplace").decode("ascii")[:60]
        raise InputRefused(
            f"the text {shown!r} holds half a character (an unpaired surrogate)",
            file=name,
            remedy="Type the text again.",
        ) from error
