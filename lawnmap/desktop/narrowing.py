"""Choices and closed days of zones that a layer does not have, taken out of a copy of them.

A person who works on some zones of a site gives its site folder for the choices; lawnmap rightly
refuses choices for zones that are not there. What is taken out is named, for it may be a slip.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection

# Of TOML: the table of one zone, or of something in it; and any table.
ZONE = re.compile(r"""\s*\[\s*zones\s*\.\s*["']?([^\]."']+?)["']?\s*(?:\.[^\]]*)?\]\s*(?:\#.*)?""")
TABLE = re.compile(r"\s*\[{1,2}\s*[\w\"'][^\[\],]*\]{1,2}\s*(?:\#.*)?")
ZONES = "zones"


def specification(text: str, ids: Collection[str]) -> tuple[str, list[str]]:
    """Return a specification without the tables of zones that are not among some.

    Parameters
    ----------
    text : str
        ``specification.toml``.
    ids : collection of str
        The zones there are.

    Returns
    -------
    text : str
    names : list of str
        The zones whose choices were taken out.
    """
    kept, names, leaving = [], [], False
    for line in text.splitlines(keepends=True):
        zone = ZONE.fullmatch(line.rstrip("\r\n"))
        if zone:
            leaving = zone.group(1) not in ids
            names += [zone.group(1)] if leaving else []
        elif TABLE.fullmatch(line.rstrip("\r\n")):
            leaving = False
        if not leaving:
            kept.append(line)
    return "".join(kept), names


def closed_days(text: str, ids: Collection[str]) -> tuple[str, list[str]]:
    """Return closed days without the zones that are not among some; see :func:`specification`."""
    rows = list(csv.reader(io.StringIO(text)))
    place = rows[0].index(ZONES) if rows and ZONES in rows[0] else None
    if place is None:
        return text, []
    kept, names = [rows[0]], []
    for row in rows[1:]:
        cell = row[place].split() if len(row) > place else []
        there = [each for each in cell if each in ids]
        names += [each for each in cell if each not in ids]
        if there or not cell:
            kept.append([*row[:place], " ".join(there), *row[place + 1 :]] if cell else row)
    if not names:
        return text, []
    made = io.StringIO()
    csv.writer(made, lineterminator="\n").writerows(kept)
    return made.getvalue(), names
