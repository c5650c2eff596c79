"""The days of one step in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lawnmap.exports.wording.amounts import day, number, text
from lawnmap.pages.words import word
from lawnmap.schema import DONE

Cells = Mapping[str, Any]


def when(row: Cells) -> str:
    """Return the day of a step in words: one, the first and last of several, or that it is done.

    Examples
    --------
    >>> when({"day": "2026-09-14", "day_last": "2026-09-18", "days": 3.0, "status": "do"})
    'Monday 14 September 2026 to Friday 18 September 2026, 3 days'
    """
    first, last = text(row.get("day")), text(row.get("day_last"))
    if not first:
        return ""
    if row.get("status") == DONE:
        return word("days.done", day=day(first))
    if not last:
        return day(first)
    return word("days.span", first=day(first), last=day(last), count=number(float(row["days"])))


def between(row: Cells) -> str:
    """Return from when to when a step may move, where it may."""
    early, late = text(row.get("day_earliest")), text(row.get("day_latest"))
    if not early or early == late:
        return ""
    return word("days.between", first=day(early), last=day(late))
