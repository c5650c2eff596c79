"""The ground heights of a site: ``heights.csv``, spot heights or a grid.

The columns ``lon``, ``lat`` [°] and ``height_m`` [m] are in full doubles. In a grid every line also
has ``row`` and ``col``, counted from 0; a cell without a height is left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from lawnmap.errors import InputRefused
from lawnmap.files import csv_text
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.numbers import number
from lawnmap.files.utf8 import decode
from lawnmap.found import Heights
from lawnmap.store.inside import kept

if TYPE_CHECKING:
    from lawnmap.files.csv_text import Table
    from lawnmap.store.folder import Folder

NAME = "heights.csv"
HEADER = ("lon", "lat", "height_m", "row", "col")
MOST = 200_000  # heights
MOST_CELLS = 1_000_000  # of a grid with its gaps
LEAST = 3
HIGHEST_M = 12_000.0
BOUNDS = (180.0, 90.0, HIGHEST_M)
REMEDY = f"Correct it, or move {NAME} out of the folder and read the heights again."


def encode(heights: Heights) -> bytes:
    """Return the file; :func:`parse` tells whether it is one that a site can have."""
    known = np.flatnonzero(np.isfinite(heights.points).all(axis=1))
    lines = [",".join(HEADER)]
    cells = ["," for _ in known]
    if heights.shape is not None:
        rows, columns = np.unravel_index(known, heights.shape)
        cells = [f"{row},{column}" for row, column in zip(rows, columns, strict=True)]
    for (lon, lat, height), cell in zip(heights.points[known].tolist(), cells, strict=True):
        lines.append(f"{lon!r},{lat!r},{height!r},{cell}")
    return ("\n".join(lines) + "\n").encode("ascii")


def parse(data: bytes) -> Heights:
    """Return the heights in the file.

    Raises
    ------
    InputRefused
        With the line, when it is damaged.
    """
    try:
        return _parsed(decode(data, NAME))
    except InputRefused as error:
        error.remedy = REMEDY
        raise error.within(file=NAME) from error.__cause__


def read(folder: Folder, *, disk: Disk = DISK) -> Heights | None:
    """Return the heights of a site; None when it has none.

    Raises
    ------
    InputRefused
        When the file leads out of the folder, or cannot be opened.
    SiteDamaged
        When it is not as it was written. Nothing is overwritten.
    """
    return kept(folder, NAME, parse, remedy=REMEDY, disk=disk)


def _parsed(text: str) -> Heights:
    table = csv_text.parse(text, ",", most_cells=(MOST + 1) * len(HEADER))
    if tuple(table.header) != HEADER:
        raise InputRefused(f"has not the columns {', '.join(HEADER)}", place="line 1")
    points = [_point(row, line) for row, line in zip(table.rows, table.lines, strict=True)]
    if len(points) < LEAST:
        raise InputRefused(f"holds {len(points)} heights, and a surface takes three")
    if not any(row[3] or row[4] for row in table.rows):
        return Heights(np.array(points, dtype=np.float64))
    return _grid(table, points)


def _point(row: list[str], line: int) -> list[float]:
    try:
        values = [number(cell) for cell in row[:3]]
    except ValueError as error:
        raise InputRefused(str(error), place=f"line {line}") from error
    for name, value, most in zip(HEADER, values, BOUNDS, strict=False):
        if not abs(value) <= most:
            raise InputRefused(f"{name} is {value:.6g}", place=f"line {line}")
    return values


def _grid(table: Table, points: list[list[float]]) -> Heights:
    """Return the heights as a grid, each in its cell, once."""
    places = [_cell(row[3:], line) for row, line in zip(table.rows, table.lines, strict=True)]
    rows, columns = (1 + max(side) for side in zip(*places, strict=True))
    if rows * columns > MOST_CELLS:
        raise InputRefused(f"is a grid of {rows:,} rows by {columns:,} columns")
    filled: set[tuple[int, int]] = set()
    for place, line in zip(places, table.lines, strict=True):
        if place in filled:
            raise InputRefused("is a second height for one cell", place=f"line {line}")
        filled.add(place)
    cells = np.full((rows, columns, 3), np.nan)
    cells[tuple(np.array(places).T)] = points
    return Heights(cells.reshape(-1, 3), (rows, columns))


def _cell(texts: list[str], line: int) -> tuple[int, int]:
    row, column = (
        int(text) if text.isascii() and text.isdigit() and len(text) <= len(str(MOST_CELLS)) else -1
        for text in texts
    )
    if min(row, column) < 0:
        raise InputRefused(
            "row and col are not whole numbers, both or neither", place=f"line {line}"
        )
    return row, column
