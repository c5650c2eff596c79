"""The rows of a tape sheet: which measure each is, and that its cells are those it needs."""

from __future__ import annotations

from typing import NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.files import csv_text
from lawnmap.readers.tape.lengths import UNITS_M, unit_of

MOST_MEASURES = 5_000

# Columns by the names they may have; the first is the one on the blank sheet.
COLUMNS = {
    "measure": ("measure",), "from": ("from",), "to": ("to",), "length": ("length",),
    "along": ("along",), "side": ("side",), "bearing": ("bearing",),
    "points": ("points", "point", "corners"), "zone": ("zone", "name"),
    "feature": ("feature",), "note": ("note", "notes"),
}  # fmt: skip
NEEDED = ("measure", "from", "to", "length")
LINES = ("baseline", "tie", "distance", "diagonal", "side", "leg")
DRAWN = ("outline", "line", "spot")
# Of each measure, the cells that have to be filled and those that may be; zone and note always may.
CELLS: dict[str, tuple[set[str], set[str]]] = {
    "unit": ({"length"}, set()),
    "baseline": ({"from", "to", "length"}, {"bearing"}),
    **{each: ({"from", "to", "length"}, {"side"}) for each in ("tie", "distance")},
    **{each: ({"from", "to", "length"}, {"side"}) for each in ("diagonal", "side")},
    "leg": ({"from", "to", "length", "bearing"}, set()),
    "offset": ({"from", "to", "along", "length"}, {"side", "points"}),
    "left": ({"from", "to", "points"}, set()),
    "right": ({"from", "to", "points"}, set()),
    **{each: ({"points"}, {"feature"}) for each in DRAWN},
}
ALWAYS = {"measure", "zone", "note"}


class Row(NamedTuple):
    """The cells of one row by column, and the line it stands on."""

    cells: dict[str, str]
    line: int

    @property
    def kind(self) -> str:
        """The measure, in small letters."""
        return self.cells["measure"].lower()


def rows(text: str) -> tuple[list[Row], list[str]]:
    """Return the filled rows of a sheet, and the columns that are not known.

    Raises
    ------
    InputRefused
        For a table that is not sound, a measure that is not known, or cells that are missing or do
        not belong to it; with the line.
    """
    table = csv_text.parse(text, _separator(text), most_cells=50 * MOST_MEASURES)
    where, unknown = _columns(table.header)
    found = []
    for cells, line in zip(table.rows, table.lines, strict=True):
        row = Row({name: cells[index].strip() for name, index in where.items()}, line)
        if any(row.cells.values()):
            _check(row)
            found.append(row)
    if len(found) > MOST_MEASURES:
        raise InputRefused(
            f"holds more than {MOST_MEASURES:,} rows", remedy="Make a sheet for each part."
        )
    return found, unknown


def unit(found: list[Row], said: str | None) -> str | None:
    """Return the unit of bare numbers: what the sheet says, or else what the person said.

    Raises
    ------
    InputRefused
        When the two differ, there are several, or it is none that is known.
    """
    if said is not None and said not in UNITS_M:
        raise InputRefused(f"--units is {said!r}", remedy=f"It can be: {', '.join(UNITS_M)}.")
    named: str | None = None
    for row in found:
        if row.kind != "unit":
            continue
        this = unit_of(row.cells["length"])
        if this is None or named not in {None, this}:
            raise refusal(
                row,
                f"the unit is {row.cells['length'][:20]!r}"
                + (f" after it was {named!r}" if named else ""),
                f"Give one of {', '.join(UNITS_M)}, once.",
            )
        named = this
    if named and said and named != said:
        raise InputRefused(
            f"the sheet says its unit is {named} and --units says {said}",
            remedy="Leave out --units, or correct the sheet.",
        )
    return named or said


def _separator(text: str) -> str:
    for separator in csv_text.SEPARATORS:
        names = {name.casefold() for name in csv_text.header(text, separator)}
        if names.issuperset(NEEDED):
            return separator
    raise InputRefused(
        "is not a tape sheet: its first line does not name measure, from, to and length",
        remedy="Start from the blank sheet in docs/plans.",
    )


def _columns(header: list[str]) -> tuple[dict[str, int], list[str]]:
    plain = [name.casefold() for name in header]
    where: dict[str, int] = {}
    for name, words in COLUMNS.items():
        here = [index for index, word in enumerate(plain) if word in words]
        if len(here) > 1:
            raise InputRefused(
                f"two columns could be {name!r}: {', '.join(header[i] for i in here)}",
                remedy="Keep one of them.",
            )
        if here:
            where[name] = here[0]
    return where, [header[i] for i in range(len(header)) if i not in where.values()]


def _check(row: Row) -> None:
    if row.kind not in CELLS:
        raise refusal(row, f"the measure is {row.kind[:20]!r}", f"It can be: {', '.join(CELLS)}.")
    needed, allowed = CELLS[row.kind]
    filled = {name for name, cell in row.cells.items() if cell}
    missing = sorted(needed - filled)
    if missing:
        raise refusal(row, f"the {row.kind} has no {' and no '.join(missing)}", "Fill it in.")
    odd = sorted(filled - needed - allowed - ALWAYS)
    if odd:
        raise refusal(
            row,
            f"a cell under {' and under '.join(odd)} has no meaning for a {row.kind}",
            "Move it to the column it belongs to, or clear it.",
        )


def refusal(row: Row, why: str, remedy: str) -> InputRefused:
    """Return the refusal of a row, with its line."""
    return InputRefused(why, place=f"line {row.line}", remedy=remedy)
