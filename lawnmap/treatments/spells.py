"""How many evenings or days some hours of work are, in words."""

from __future__ import annotations

import math

from lawnmap.model import Specification
from lawnmap.reference import tables

USUAL_DAY_H = 7.0
SLACK = 1e-9


def evenings(low_h: float, high_h: float, specification: Specification) -> tuple[int, int]:
    """Return the fewest and most evenings of some hours of one person, everybody working."""
    crew = specification.choice("crew") or {}
    together = evening_h(specification) * int(crew.get("people") or 1)
    return _whole(low_h / together), _whole(high_h / together)


def evening_h(specification: Specification) -> float:
    """Return the hours of an evening: chosen, else usual."""
    own = (specification.choice("crew") or {}).get("evening_h")
    return tables.value("evening_h").number if own is None else float(own)


def by_hand(low_h: float, high_h: float, specification: Specification) -> str:
    """Return what raking means: evenings at home, days for a firm; empty when one does."""
    if specification.choice("user") == "professional":
        return in_days(low_h, high_h, specification)
    few, many = evenings(low_h, high_h, specification)
    if many == 1:
        return ""
    return f"{counted(few, many, 'evening')} of {evening_h(specification):g} h"


def in_days(low_h: float, high_h: float, specification: Specification) -> str:
    """Return hours as days of one person; empty when they fit in one."""
    a_day = float((specification.choice("crew") or {}).get("hours_a_day") or USUAL_DAY_H)
    few, many = _whole(low_h / a_day), _whole(high_h / a_day)
    return "" if many == 1 else f"{counted(few, many, 'day')} of {a_day:g} h for one person"


def counted(low: float, high: float, what: str) -> str:
    """Return a count or a range of counts with its noun.

    Examples
    --------
    >>> counted(4, 10, "evening"), counted(1, 1, "day")
    ('4 to 10 evenings', '1 day')
    """
    said = f"{high:.0f}" if low == high else f"{low:.0f} to {high:.0f}"
    return f"{said} {what}" if high == 1 else f"{said} {what}s"


def _whole(number: float) -> int:
    return max(1, math.ceil(number - SLACK))
