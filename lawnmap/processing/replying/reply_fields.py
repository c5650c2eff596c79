"""The fields of a reply: each check returns the value as it is used, or says what it is not."""

from __future__ import annotations

import datetime as dt
import math
import re
import unicodedata
from collections.abc import Callable
from typing import Any

from lawnmap import schema
from lawnmap.files.limits import SITE

AT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z")
LONGEST_TEXT = 5_000
LEAST_CORNERS, MOST_CORNERS = 3, 1_000
FARTHEST_M = 5_000.0  # of a sketch's corner from its zero
ON_EARTH = (180.0, 90.0)


def text(value: Any, most: int = LONGEST_TEXT) -> str:
    """Return a person's text without control characters; None is none.

    Raises
    ------
    ValueError
        When it is no text or too long.
    """
    if value is None:
        return ""
    if not isinstance(value, str) or len(value) > most:
        raise ValueError(f"is not a text of at most {most:,} characters")
    plain = value.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ")
    return "".join(
        char for char in plain if char == "\n" or unicodedata.category(char) != "Cc"
    ).strip()


def line(value: Any) -> str:
    """Return a short text on one line."""
    return " ".join(text(value, SITE.name_length).split())


def matching(pattern: re.Pattern[str], what: str) -> Callable[[Any], str]:
    """Return a check that a text is of a pattern; None is the empty text."""

    def check(value: Any) -> str:
        value = "" if value is None else value
        if not isinstance(value, str) or not pattern.fullmatch(value):
            raise ValueError(f"is not {what}")
        return value

    return check


def one_of(words: tuple[str, ...]) -> Callable[[Any], str]:
    """Return a check that a text is one of some words."""

    def check(value: Any) -> str:
        if value not in words:
            raise ValueError(f"is not one of: {', '.join(words)}")
        return str(value)

    return check


def whole(value: Any) -> int:
    """Return a whole number from 0."""
    if type(value) is not int or not 0 <= value < 10**9:
        raise ValueError("is not a whole number")
    return value


def count(value: Any) -> int | None:
    """Return a whole number from 0, or None."""
    return None if value is None else whole(value)


def amount(value: Any) -> float | None:
    """Return a number from 0, or None."""
    if value is None:
        return None
    if type(value) not in {int, float} or not 0 <= value < math.inf:
        raise ValueError("is not a number from 0")
    return float(value)


def moment(value: Any) -> str:
    """Return a moment in UTC to the second."""
    if not isinstance(value, str) or not AT.fullmatch(value):
        raise ValueError("is not a moment written YYYY-MM-DDTHH:MM:SSZ")
    dt.datetime.fromisoformat(value)  # 30 February is a ValueError of its own
    return value


def day(value: Any) -> str:
    """Return a day."""
    if not isinstance(value, str) or dt.date.fromisoformat(value).isoformat() != value:
        raise ValueError("is not a day written YYYY-MM-DD")
    return value


def two_numbers(value: Any) -> list[float]:
    """Return two finite numbers."""
    if (
        not isinstance(value, list)
        or len(value) != len("xy")
        or not all(type(each) in {int, float} and math.isfinite(each) for each in value)
    ):
        raise ValueError("is not two numbers")
    return [float(each) for each in value]


def lonlat(value: Any) -> list[float] | None:
    """Return a longitude and a latitude, or None."""
    if value is None:
        return None
    pair = two_numbers(value)
    if any(abs(each) > most for each, most in zip(pair, ON_EARTH, strict=True)):
        raise ValueError("is not a longitude and a latitude")
    return pair


def ring(value: Any) -> list[list[float]]:
    """Return a closed ring of corners in metres."""
    if not isinstance(value, list) or not LEAST_CORNERS <= len(value) <= MOST_CORNERS:
        raise ValueError(f"is not {LEAST_CORNERS} to {MOST_CORNERS:,} corners")
    ring = [two_numbers(each) for each in value]
    if any(abs(number) > FARTHEST_M for corner in ring for number in corner):
        raise ValueError(f"has a corner farther than {FARTHEST_M / 1000:g} km")
    return ring if ring[0] == ring[-1] else [*ring, ring[0]]


def facts(value: Any) -> dict[str, Any]:
    """Return facts with plain values only; whether a column takes them is asked later."""
    if value is None:
        return {}
    if not isinstance(value, dict) or len(value) > len(schema.COLUMNS):
        raise ValueError("is not an object of facts")
    for name, each in value.items():
        if isinstance(each, dict | list) or len(name) > SITE.name_length:
            raise ValueError(f"holds no plain value in {name[:40]!r}")
    return {
        line(name): text(each) if isinstance(each, str) else each for name, each in value.items()
    }


def mapping(value: Any) -> dict[str, Any]:
    """Return an object."""
    if not isinstance(value, dict):
        raise ValueError("is not an object")  # noqa: TRY004 - told as all others are
    return value
