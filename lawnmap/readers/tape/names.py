"""Names of points as they stand in the cells of a tape sheet."""

from __future__ import annotations

import re

from lawnmap.errors import InputRefused
from lawnmap.readers.tape.rows import Row

MOST_POINTS = 500
LONGEST_POINT = 20
RANGE = re.compile(r"(.*?)(\d{1,4})\.\.\1(\d{1,4})", re.ASCII)


def ends(row: Row) -> tuple[str, str]:
    """Return the two different points that a row leads from and to."""
    start, end = row.cells["from"], row.cells["to"]
    for name in (start, end):
        check(name)
    if start == end:
        raise InputRefused(f"leads from {start} to itself", remedy="Correct one of the two.")
    return start, end


def points(cell: str) -> list[str]:
    """Return the points named in a cell; ``o1..o5`` stands for o1 o2 o3 o4 o5.

    Raises
    ------
    InputRefused
        For what is no name, or too many.

    Examples
    --------
    >>> points("A o1..o3 B")
    ['A', 'o1', 'o2', 'o3', 'B']
    """
    names: list[str] = []
    for word in re.split(r"[\s,;]+", cell):
        span = RANGE.fullmatch(word)
        if span and len(word) <= 3 * LONGEST_POINT:
            first, last = int(span[2]), int(span[3])
            way = 1 if last >= first else -1
            numbers = range(first, last + way, way)[: MOST_POINTS + 1]
            names += [f"{span[1]}{number}" for number in numbers]
        elif word:
            names.append(word)
        if len(names) > MOST_POINTS:
            raise InputRefused(f"names more than {MOST_POINTS} points", remedy="Split it.")
    for name in names:
        check(name)
    return names


def check(name: str) -> None:
    """Refuse what cannot be the name of a point."""
    if len(name) > LONGEST_POINT or not name.isprintable() or re.search(r"[\s,;]|\.\.", name):
        raise InputRefused(
            f"{name[: LONGEST_POINT + 1]!r} is no name for a point",
            remedy=f"A name has up to {LONGEST_POINT} letters and digits, without blanks.",
        )
