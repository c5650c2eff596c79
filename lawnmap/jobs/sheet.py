"""A sheet a person filled in: a CSV whose columns we know, as rows with their lines."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.files import csv_text
from lawnmap.files.admit import admit
from lawnmap.files.limits import SITE
from lawnmap.files.utf8 import decode

MOST_CELLS = 50 * SITE.zones  # as many columns as a sheet of facts can have, and some


class Row(NamedTuple):
    """One row: the line it begins on, and its cells by the lower-case name of the column."""

    line: int
    cells: dict[str, str]


def rows(path: Path, needed: tuple[str, ...]) -> tuple[str, list[Row]]:
    """Return a sheet's file name and its rows.

    Parameters
    ----------
    path : Path
        A CSV with comma, semicolon or tab between cells.
    needed : tuple of str
        Columns without which it is not that sheet.

    Raises
    ------
    InputRefused
        When it is not a table with those columns.
    """
    source = admit(path)
    if source.kind != "csv":
        raise InputRefused(
            f"is {source.kind}, not a table", file=source.name, remedy="Save the sheet as CSV."
        )
    text = decode(source.data, name=source.name)
    for separator in csv_text.SEPARATORS:
        header = [name.lower() for name in csv_text.header(text, separator)]
        if set(needed) <= set(header):
            try:
                table = csv_text.parse(text, separator, most_cells=MOST_CELLS)
            except InputRefused as error:
                raise error.within(file=source.name) from error.__cause__
            return source.name, [
                Row(line, dict(zip(header, row, strict=True)))
                for line, row in zip(table.lines, table.rows, strict=True)
            ]
    raise InputRefused(
        f"lacks the columns {', '.join(needed)}", file=source.name, remedy="Name them in line 1."
    )
