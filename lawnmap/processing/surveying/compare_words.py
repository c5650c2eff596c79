"""A comparison of two surveys in words: it worked, it got worse, or nobody can tell yet."""

from __future__ import annotations

import pandas as pd

from lawnmap.processing.surveying.compare import BETTER, UNLIKE, WORSE
from lawnmap.processing.surveying.seen import CORED, COUNTED

SAID = {BETTER: "it worked", WORSE: "it got worse"}


def sentence(row: pd.Series) -> str:
    """Return one row of the table in words, without its zone.

    Parameters
    ----------
    row : Series
        A row of :func:`lawnmap.processing.surveying.compare.compare`.

    Examples
    --------
    >>> sentence(pd.Series({"measure": "thatch", "verdict": UNLIKE, "reason": "the zone is new",
    ...                     "before_from": "", "after_from": ""}))
    'thatch: cannot be told, the zone is new.'
    """
    there = [
        f"{when} {look(row, when)}" for when in ("before", "after") if row[f"{when}_from"] != ""
    ]
    found = f" {', '.join(there).capitalize()}" if there else ""
    if row["verdict"] == UNLIKE:
        return f"{row['measure']}: cannot be told, {row['reason']}.{found}{'.' if found else ''}"
    said = SAID.get(row["verdict"], "") or _not_told(row)
    return f"{row['measure']}: {said}.{found}: {_change(row)}."


def look(row: pd.Series, when: str) -> str:
    """Return what one survey saw: the value, and its interval when it was counted or cored."""
    unit = row["unit"]
    at, low, high = (row[name] for name in (when, f"{when}_low", f"{when}_high"))
    value = "" if pd.isna(at) else _number(at, unit)
    span = "" if pd.isna(low) else _span(low, high, unit)
    rests_on, number = row[f"{when}_from"], row[f"{when}_samples"]
    if rests_on == COUNTED:
        return f"{value} ({span}, {number:.0f} points)"
    if rests_on == CORED:
        cores = "1 core" if number == 1 else f"{number:.0f} cores"
        return f"{value} ({', '.join(each for each in (span, cores) if each)})"
    return value or span


def _span(low: float, high: float, unit: str) -> str:
    """Return an interval; the unit stands once, behind it."""
    if pd.isna(high):
        return f"over {_plain(low, unit)} {unit}"
    return f"{_plain(low, unit)} to {_plain(high, unit)} {unit}"


def _number(value: float, unit: str) -> str:
    return f"{_plain(value, unit)} {unit}"


def _plain(value: float, unit: str) -> str:
    """Return per cents whole, and millimetres to a tenth."""
    return f"{round(value, 1 if unit == 'mm' else 0):g}"


def _not_told(row: pd.Series) -> str:
    """Return what to do about a change that is within the noise."""
    of, what, more = (
        ("cores", "cores", "take") if row["measure"] == "thatch" else ("counts", "points", "count")
    )
    said = f"cannot be told from these {of}"
    if not pd.isna(row["more"]):
        frames = row["more_frames"]
        inside = "" if pd.isna(frames) else f" ({frames:.0f} frame{'s' if frames > 1 else ''})"
        what = what.removesuffix("s") if row["more"] == 1 else what
        return f"{said}: {more} {row['more']:.0f} more {what}{inside}"
    if row["change"] == 0:
        return f"{said}: just the same both times"
    return f"{said}, and more {what} now would not tell either: {more} more before the next work"


def _change(row: pd.Series) -> str:
    """Return the change and its interval, such as ``30 % of the ground less (16 to 43 % less)``."""
    low, high, unit = row["change_low"], row["change_high"], row["unit"]
    of = " of the ground" if unit == "%" else ""
    change = f"{_number(abs(row['change']), unit)}{of} {_way(row['change'])}"
    change = change if row["change"] else "no change"
    if low == high:  # neither survey has any spread
        return change
    if _way(low) == _way(high):
        near, far = sorted((abs(low), abs(high)))
        return f"{change} ({_span(near, far, unit)} {_way(high)})"
    return f"{change} (from {_number(-low, unit)} less to {_number(high, unit)} more)"


def _way(change: float) -> str:
    return "less" if change < 0 else "more"
