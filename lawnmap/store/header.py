"""The ``lawnmap`` member of a site file: what is said of the site as a whole."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.store.features import finite, is_day, on_earth, whole

SITE_ID = re.compile(r"(?:[0-9a-f]{16})?")  # none on a site that was made before there were any


class _Member(NamedTuple):
    name: str
    holds: Callable[[Any], bool]
    wanted: str
    needed: bool = False


def _day_or_nothing(value: Any) -> bool:
    return value is None or (isinstance(value, str) and (not value or is_day(value)))


def _text_or_nothing(value: Any) -> bool:
    return value is None or isinstance(value, str)


def _site_id(value: Any) -> bool:
    return isinstance(value, str) and bool(SITE_ID.fullmatch(value))


def _position(value: Any) -> bool:
    flat = isinstance(value, list) and len(value) == len(("longitude", "latitude"))
    return flat and all(map(finite, value)) and on_earth(value)


def _metres(value: Any) -> bool:
    return isinstance(value, list) and len(value) == len("xy") and all(map(finite, value))


MEMBERS = (
    _Member(
        "format", lambda value: whole(value) and value >= 1, "a whole number from 1", needed=True
    ),
    _Member("revision", lambda value: whole(value) and value >= 0, "a whole number", needed=True),
    _Member("site_id", _site_id, "16 digits, 0 to 9 and a to f"),
    _Member("title", lambda value: isinstance(value, str), "text"),
    _Member("surveyed", _day_or_nothing, "a day written YYYY-MM-DD"),
    _Member("timezone", _text_or_nothing, "text"),
    _Member("placed", lambda value: isinstance(value, bool), "true or false"),
    _Member("anchor", _position, "a longitude and a latitude"),
    _Member("origin", _metres, "two numbers"),
)


def check_header(header: Any) -> None:
    """Check the header; members that lawnmap does not know are left alone.

    Raises
    ------
    InputRefused
        With the member that is missing or wrong.
    """
    if not isinstance(header, dict):
        raise InputRefused("is not an object", place="lawnmap")
    for member in MEMBERS:
        if member.name not in header:
            if member.needed:
                raise InputRefused("is missing", place=f"lawnmap.{member.name}")
        elif not member.holds(header[member.name]):
            raise InputRefused(f"is not {member.wanted}", place=f"lawnmap.{member.name}")
