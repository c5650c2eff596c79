"""Lengths as people write them: 12.5, 12.5 m, 41 ft, 41' 6", 12 ft 6 in."""

from __future__ import annotations

import re

from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number

UNITS_M = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": 0.3048, "in": 0.0254, "yd": 0.9144}
WORDS = {
    "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "feet": "ft", "foot": "ft", "'": "ft", "′": "ft", "’": "ft",
    "inch": "in", "inches": "in", "ins": "in", '"': "in", "″": "in", "”": "in", "''": "in",
    "yard": "yd", "yards": "yd", "yds": "yd",
    **{unit: unit for unit in UNITS_M},
}  # fmt: skip
LONGEST_M = 2_000.0
INCHES = 12.0

# A number with its unit or none, once; or feet with inches after them.
ONE = re.compile(r"([-+.,\deE]+)\s*([^\W\d_]+|'{1,2}|[′’\"″”])?", re.ASCII | re.IGNORECASE)
FEET = re.compile(
    r"(\d+)\s*(?:ft|feet|foot|['′’])\s*(\d+(?:\.\d+)?)(?:\s+(\d+)/(\d+))?"
    r"\s*(?:in|ins|inch|inches|\"|″|”|'')?",
    re.ASCII | re.IGNORECASE,
)


def unit_of(text: str) -> str | None:
    """Return the unit that a word stands for, or None.

    Examples
    --------
    >>> unit_of(" Feet ")
    'ft'
    """
    return WORDS.get(text.strip().lower())


def length(text: str, unit: str | None, *, zero: bool = False) -> float:
    r"""Return a length in metres.

    Parameters
    ----------
    text : str
        As written in the cell.
    unit : str or None
        Unit of a bare number; None when the sheet does not say.
    zero : bool
        Whether nothing is a length here.

    Raises
    ------
    InputRefused
        For anything that is not one length, is not above zero, or is over 2 km.

    Examples
    --------
    >>> round(length("41' 6\"", "m"), 4)
    12.6492
    """
    try:
        metres = _metres(text.strip(), unit)
    except ValueError as error:
        if isinstance(error, InputRefused):
            raise
        raise InputRefused(
            str(error), remedy="Write it as 12.5, 12.5 m, 41 ft or 41' 6\", with a decimal point."
        ) from error
    if metres < 0 or (metres == 0 and not zero):
        raise InputRefused(
            f"{text[:20]!r} is not above zero", remedy="Measure from the other end, or correct it."
        )
    if metres > LONGEST_M:
        raise InputRefused(
            f"{text[:20]!r} is {metres:,.6g} m, over {LONGEST_M:,.0f} m",
            remedy="Check the number and its unit.",
        )
    return metres


def _metres(text: str, unit: str | None) -> float:
    feet = FEET.fullmatch(text)
    if feet:
        return _feet_and_inches(text, feet)
    one = ONE.fullmatch(text)
    if one is None:
        raise ValueError(f"{text[:20]!r} is not a length" if text else "the length is missing")
    value = number(one[1])
    if one[2] is None:
        if unit is None:
            raise InputRefused(
                f"{text[:20]!r} has no unit and the sheet names none",
                remedy="Add a row: unit, with m or ft under length; or give --units.",
            )
        return value * UNITS_M[unit]
    named = unit_of(one[2])
    if named is None:
        raise ValueError(f"{one[2][:20]!r} is not a unit that is known")
    return value * UNITS_M[named]


def _feet_and_inches(text: str, parts: re.Match[str]) -> float:
    inches = number(parts[2])
    if parts[3] is not None:
        over, under = number(parts[3]), number(parts[4])
        if not 0 < over < under or "." in parts[2]:
            raise ValueError(f"{text[:20]!r} has a fraction that is none")
        inches += over / under
    if inches >= INCHES:
        raise ValueError(f"{text[:20]!r} has {inches:g} inches to a foot")
    return number(parts[1]) * UNITS_M["ft"] + inches * UNITS_M["in"]
