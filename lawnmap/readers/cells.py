"""Cells of a text table as values: a column is numbers when every cell of it is one."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number
from lawnmap.files.spreadsheet import unguarded

if TYPE_CHECKING:
    from collections.abc import Sequence

Value = str | float | int | None
Columns = dict[str, list[Value]]

# Columns that hold text whatever it looks like: 007 and 12 are names of zones, too.
TEXT = {
    fact.name for table in ("zones", "features") for fact in schema.facts(table) if not fact.unit
}
WHOLE = re.compile(r"[-+]?\d{1,15}", re.ASCII)  # as many digits as a double keeps
LABEL = re.compile(r"[-+]?(?:0\d|\d{16})", re.ASCII)  # a number that would come back changed
DECIMAL_COMMA = re.compile(r"[-+]?\d+(?:[.,]\d+)?", re.ASCII)


def column(name: str, cells: Sequence[str], lines: Sequence[int]) -> list[Value]:
    """Return the cells of one column as text or numbers; blank cells are None.

    Parameters
    ----------
    name : str
        Name of the column: some hold text by the schema.
    cells : sequence of str
        As in the table.
    lines : sequence of int
        Line of each, for messages.

    Raises
    ------
    InputRefused
        With the line, when all cells are numbers and one of them has a decimal comma.
    """
    filled = [cell.strip() for cell in cells if cell.strip()]
    if name.strip().lower() not in TEXT and filled:
        if all(_is_number(cell) for cell in filled):
            return [_number(cell.strip()) if cell.strip() else None for cell in cells]
        commas = [line for cell, line in zip(cells, lines, strict=True) if "," in cell]
        if commas and all(DECIMAL_COMMA.fullmatch(cell) for cell in filled):
            raise InputRefused(
                f"the column {name[:40]!r} has decimal commas",
                place=f"line {commas[0]}",
                remedy="Write numbers with a decimal point.",
            )
    return [unguarded(cell) if cell.strip() else None for cell in cells]


def _is_number(cell: str) -> bool:
    if LABEL.match(cell):
        return False
    try:
        number(cell)
    except ValueError:
        return False
    return True


def _number(cell: str) -> float | int:
    return int(cell) if WHOLE.fullmatch(cell) else number(cell)
