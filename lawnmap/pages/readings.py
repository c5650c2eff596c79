"""One figure in three systems of units within a text, of which a page shows one at a time.

The three stand between noncharacters, which Unicode keeps for the inside of a program (The Unicode
Standard, 23.7): no keyboard makes them, and :func:`lawnmap.pages.escape.clean` takes them out of
everybody's words. A reading is text as all else is, and is escaped as all else is.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

SYSTEMS = ("metric", "imperial", "us")
MARKS = re.compile("[\ufdd0-\ufdef]")
STARTS = dict(zip(SYSTEMS, "\ufdd0\ufdd1\ufdd2", strict=True))  # by the system that is shown first
BETWEEN, END = "\ufdd3", "\ufdd4"
READ = "([^\ufdd0-\ufdef]*)"
FIGURE = re.compile(f"([\ufdd0-\ufdd2]){READ}{BETWEEN}{READ}{BETWEEN}{READ}{END}")


def together(readings: Sequence[str], first: str) -> str:
    """Return three readings as one text; just the text when they are all the same.

    Parameters
    ----------
    readings : (3,) sequence of str
        In the order of SYSTEMS.
    first : str
        The system that is shown where nobody has chosen, or where only one can be.
    """
    if len(set(readings)) == 1:
        return readings[0]
    return f"{STARTS[first]}{BETWEEN.join(readings)}{END}"


def reading(text: str, system: str = "") -> str:
    """Return a text with one reading of each figure: of a system, or the one shown first.

    Examples
    --------
    >>> both = f"Lawn of {together(['10 m²', '12 sq yd', '108 sq ft'], 'us')}"
    >>> reading(both), reading(both, "metric")
    ('Lawn of 108 sq ft', 'Lawn of 10 m²')
    """
    if END not in text:
        return text
    starts = "".join(STARTS.values())

    def chosen(figure: re.Match[str]) -> str:
        place = SYSTEMS.index(system) if system else starts.index(figure[1])
        return figure[2 + place]

    return FIGURE.sub(chosen, text)


def grouped(figure: re.Match[str]) -> dict[str, list[str]]:
    """Return the readings of a figure that say something, each with the systems that say it so."""
    found: dict[str, list[str]] = {}
    for system, text in zip(SYSTEMS, figure.groups()[1:], strict=True):
        if text:
            found.setdefault(text, []).append(system)
    return found
