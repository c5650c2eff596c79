"""Tables as RFC 4180 has them, strictly: every row as long as the header, every quote closed."""

from __future__ import annotations

import csv
import io
from typing import NamedTuple

from lawnmap.errors import InputRefused

# Of one cell, in characters. The csv module has the same default, but any library may raise it.
LONGEST_CELL = 131_072
MOST_COLUMNS = 1_000
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}


class Table(NamedTuple):
    """A header and its rows, with the line each row begins on."""

    header: list[str]
    rows: list[list[str]]
    lines: list[int]


def header(text: str, separator: str) -> list[str]:
    """Return the names of the columns if `separator` were the one; none when it cannot be.

    Raises
    ------
    InputRefused
        When there are more than a thousand.
    """
    start = io.StringIO(text[:LONGEST_CELL], newline="")
    try:
        row = next((row for row in csv.reader(start, delimiter=separator, strict=True) if row), [])
    except csv.Error:
        return []
    if len(row) > MOST_COLUMNS:
        raise InputRefused(
            f"has more than {MOST_COLUMNS:,} columns", remedy="Leave out those that are not needed."
        )
    return [name.strip() for name in row]


def parse(text: str, separator: str, *, most_cells: int) -> Table:
    """Return the table in `text`; lines without anything on them are passed over.

    Parameters
    ----------
    text : str
        Without a byte-order mark.
    separator : str
        What stands between cells.
    most_cells : int
        The most cells allowed: rows times columns; and the most lines, blank ones counted.

    Raises
    ------
    InputRefused
        With the line, for an open quote, a row of another length, a cell too long, a column without
        a name or with another's, and too many cells.
    """
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    table = Table([], [], [])
    line = 1
    try:
        for row in reader:
            if row and not table.header:
                table.header.extend(_names(row, line))
            elif row:
                _check(row, table.header, line)
                table.rows.append(row)
                table.lines.append(line)
            if max(len(table.rows) * len(table.header), line) > most_cells:
                raise InputRefused(
                    f"holds more than {most_cells:,} cells or lines",
                    remedy="Cut it down to the site.",
                )
            line = reader.line_num + 1
    except csv.Error as error:
        raise InputRefused(
            f"is not a sound table ({error})",
            place=f"line {line}",
            remedy="Look for a quote that is not closed.",
        ) from error
    return table


def _names(row: list[str], line: int) -> list[str]:
    names = [name.strip() for name in row]
    seen: set[str] = set()
    for number, name in enumerate(names, 1):
        if not name:
            raise InputRefused(
                f"column {number} has no name", place=f"line {line}", remedy="Name it."
            )
        if name.casefold() in seen:
            raise InputRefused(
                f"two columns are called {name[:40]!r}",
                place=f"line {line}",
                remedy="Rename one of them.",
            )
        seen.add(name.casefold())
    return names


def _check(row: list[str], names: list[str], line: int) -> None:
    if len(row) != len(names):
        raise InputRefused(
            f"has {len(row)} cells under {len(names)} column names",
            place=f"line {line}",
            remedy="Quote cells that hold the separator; numbers have a decimal point, no comma.",
        )
    if any(len(cell) > LONGEST_CELL for cell in row):
        raise InputRefused(
            f"has a cell of more than {LONGEST_CELL:,} characters",
            place=f"line {line}",
            remedy="Save long outlines as GeoJSON.",
        )
