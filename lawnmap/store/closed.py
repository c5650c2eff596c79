"""``closed.csv``: days on which an area may not be used, or the only days on which it may.

Typed by hand, so a slip is named with its line and nothing is guessed.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection
from typing import NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.files import csv_text
from lawnmap.files.utf8 import decode
from lawnmap.logistics.work import Closed, Window
from lawnmap.store import keys
from lawnmap.store.folder import Folder
from lawnmap.store.inside import typed

NAME = "closed.csv"
COLUMNS = ("from", "to", "zones", "reason", "kind")
NEEDED = ("from", "to")
CLOSED, OPEN_ONLY = "closed", "open only"
LARGEST = 5_000_000
MOST_CELLS = 100_000
LONGEST_REASON = 200


class OpenDays(NamedTuple):
    """When work may be done.

    Attributes
    ----------
    closed : tuple of Closed
    open_only : dict of str to tuple of Window
        By zone_id; "" is every zone.
    """

    closed: tuple[Closed, ...]
    open_only: dict[str, tuple[Window, ...]]


def read(folder: Folder, *, zone_ids: Collection[str] | None = None) -> OpenDays:
    """Return the closed and open days of a site; none when it has no such file.

    Raises
    ------
    InputRefused
        With the line and what it may hold.
    """
    return parse(typed(folder.closed, limit=LARGEST) or b"", zone_ids=zone_ids)


def parse(data: bytes, *, zone_ids: Collection[str] | None = None, name: str = NAME) -> OpenDays:
    r"""Return the days in `data`: see :func:`read`.

    Parameters
    ----------
    data : bytes
        A table with the columns ``from`` and ``to`` (days written YYYY-MM-DD, both in), and
        ``zones`` (zone_ids with blanks between; empty is every zone), ``reason``, and ``kind``
        (``closed``, which an empty cell means too, or ``open only``).
    zone_ids : collection of str, optional
        The zones there are; any other is then refused.

    Examples
    --------
    >>> parse(b"from,to,reason\n2026-10-26,2026-10-30,half-term\n").closed[0].reason
    'half-term'
    """
    text = decode(data, name).replace("\r\n", "\n")
    if not text.strip():
        return OpenDays((), {})
    closed: list[Closed] = []
    open_only: dict[str, list[Window]] = defaultdict(list)
    for line, row in _rows(text, name):
        first, last = _day(row, "from", line, name), _day(row, "to", line, name)
        if last < first:
            raise InputRefused(
                "ends before it begins", file=name, place=f"line {line}", remedy="Swap the days."
            )
        zones = _zones(row, zone_ids, line, name)
        if _kind(row, line, name) == OPEN_ONLY:
            for zone in zones or ("",):
                open_only[zone].append(Window(first, last))
        else:
            reason = row.get("reason", "").strip()[:LONGEST_REASON] or CLOSED
            closed.append(Closed(first, last, reason, frozenset(zones)))
    return OpenDays(tuple(closed), {zone: tuple(days) for zone, days in open_only.items()})


def _rows(text: str, name: str) -> list[tuple[int, dict[str, str]]]:
    try:
        table = csv_text.parse(text, ",", most_cells=MOST_CELLS)
    except InputRefused as error:
        error.file = name
        raise
    for column in table.header:
        if column not in COLUMNS:
            raise keys.unknown(column, COLUMNS, file=name, place="the header")
    for column in NEEDED:
        if column not in table.header:
            raise InputRefused(
                f"has no column {column}",
                file=name,
                remedy=f"The columns are {', '.join(COLUMNS)}; {' and '.join(NEEDED)} are needed.",
            )
    rows = (dict(zip(table.header, cells, strict=True)) for cells in table.rows)
    return list(zip(table.lines, rows, strict=True))


def _day(row: dict[str, str], column: str, line: int, name: str) -> dt.date:
    cell = row[column].strip()
    try:
        day = dt.date.fromisoformat(cell)
    except ValueError:
        day = None
    if day is None or day.isoformat() != cell:
        raise InputRefused(
            f"{cell[:40]!r} is not a day",
            file=name,
            place=f"line {line}, {column}",
            remedy="Write it as 2026-10-26.",
        )
    return day


def _zones(
    row: dict[str, str], zone_ids: Collection[str] | None, line: int, name: str
) -> tuple[str, ...]:
    named = tuple(row.get("zones", "").split())
    for zone in named:
        if zone_ids is not None and zone not in zone_ids:
            raise keys.unknown(zone[:40], zone_ids, file=name, place=f"line {line}, zones")
    return named


def _kind(row: dict[str, str], line: int, name: str) -> str:
    kind = row.get("kind", "").strip() or CLOSED
    if kind not in (CLOSED, OPEN_ONLY):
        raise keys.unknown(kind[:40], (CLOSED, OPEN_ONLY), file=name, place=f"line {line}, kind")
    return kind
