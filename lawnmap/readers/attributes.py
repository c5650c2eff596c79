"""Attributes as a file has them, brought to plain values a table and a terminal can hold."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.files.limits import SITE

if TYPE_CHECKING:
    from collections.abc import Mapping

# All of Unicode's control characters but the tab and the ends of lines, which notes may hold.
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
LINE_ENDS = re.compile(r"[\t\r\n]+")
SHOWN = 40


def clean(properties: Mapping[str, Any]) -> tuple[dict[str, Any], list[str]]:
    """Return attributes as text, numbers, true/false or None, and what had to be changed.

    Parameters
    ----------
    properties : mapping
        Values as JSON has them; objects and lists become compact JSON text.

    Returns
    -------
    properties : dict
        In the same order.
    changes : list of str
        One sentence start a kind of change, the attribute named in it.

    Raises
    ------
    InputRefused
        When two names are the same once cleaned.
    """
    result: dict[str, Any] = {}
    changes: list[str] = []
    for key, value in properties.items():
        name = one_line(key)
        if not name:
            changes.append("Left out, a value without a name")
            continue
        if name in result:
            raise InputRefused(
                f"two attributes are called {name[:SHOWN]!r}", remedy="Rename one of them."
            )
        plain = json_text.dumps(value) if isinstance(value, dict | list) else value
        if isinstance(plain, str):
            plain = _text(name, plain, changes)
        result[name] = plain
    return result, changes


def one_line(text: str) -> str:
    """Return `text` on one line, without control characters, of a name's length at most."""
    return CONTROL.sub("", LINE_ENDS.sub(" ", text)).strip()[: SITE.name_length]


def place(noun: str, number: int, properties: Mapping[str, Any]) -> str:
    """Return where a feature stands, with its name if it has one.

    Examples
    --------
    >>> place("feature", 3, {"Name": "Back lawn"})
    'feature 3 "Back lawn"'
    """
    name = next((v for k, v in properties.items() if _is_name(k) and isinstance(v, str)), "")
    name = one_line(name)
    if len(name) > SHOWN:
        name = name[: SHOWN - 1] + "…"
    return f'{noun} {number} "{name}"' if name else f"{noun} {number}"


def _text(key: str, text: str, changes: list[str]) -> str:
    bare = CONTROL.sub("", text)
    if _is_name(key):
        bare = LINE_ENDS.sub(" ", bare)
    if bare != text:
        changes.append(f"Control characters were taken out of {key[:SHOWN]!r}")
    if _is_name(key) and len(bare) > SITE.name_length:
        changes.append(f"{key!r} was cut to {SITE.name_length} characters")
        bare = bare[: SITE.name_length]
    return bare


def _is_name(key: str) -> bool:
    return key.strip().lower() == "name"
