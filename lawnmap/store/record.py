"""``record.csv``: what was really done. Rows are added and never changed."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from lawnmap.errors import InputRefused, SiteDamaged
from lawnmap.files import csv_text
from lawnmap.files.admit import read_regular
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.limits import SITE
from lawnmap.files.spreadsheet import guarded, unguarded
from lawnmap.files.utf8 import decode
from lawnmap.store.folder import Folder, not_opened

NAME, TORN = "record.csv", "record.torn.csv"
COLUMNS = (
    "record_id",
    "issued_id",
    "reply_id",
    "zone_id",
    "operation",
    "application",
    "date",
    "amount",
    "unit",
    "area_m2",
    "by",
    "note",
    "start_time",
    "end_time",
    "product",
    "authorisation_no",
    "batch",
    "dose",
    "dose_unit",
    "applicator",
    "nozzle",
    "pressure_bar",
    "water_l",
    "wind_force",
    "wind_from",
    "air_temp_c",
    "ground",
    "operator",
    "certificate_no",
    "reason",
    "keep_off_until",
    "waste_l",
    "waste_note_no",
    "cancels",
)
MOST_CELLS = 2_000_000
Row = Mapping[str, str]


class Record(NamedTuple):
    """The record as it stands.

    Attributes
    ----------
    columns : tuple of str
        Ours, and behind them those that somebody added.
    rows : tuple of mapping
        Cells by column, in the file's order.
    torn : str
        A last line that was not written whole; empty when there is none.
    """

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    torn: str = ""


def leads_nowhere(name: str) -> InputRefused:
    """Return the error for a link to nothing: rows on a disk that is away are not none."""
    return InputRefused(
        "is a link that leads nowhere",
        file=name,
        remedy="Put back what it leads to, or take the link away.",
    )


def read(folder: Folder, *, disk: Disk = DISK) -> Record:
    """Return the record of a site; an empty one when nothing was recorded yet.

    Raises
    ------
    SiteDamaged
        When the file is not a record. It is left as it is.
    InputRefused
        When it cannot be opened.
    """
    try:
        facts = disk.look(folder.record)
        if facts is None and folder.record.is_symlink():
            raise leads_nowhere(NAME)
        if facts is None or facts.st_size == 0:
            return Record(COLUMNS, ())
        text = decode(disk.do(read_regular, folder.record, limit=SITE.file_bytes), NAME)
    except InputRefused as error:
        if isinstance(error.__cause__, OSError) or facts is None:
            raise  # what cannot be opened is not damaged
        raise damaged(error, NAME) from error
    except OSError as error:
        raise not_opened(folder.record, error) from error
    whole, torn = _without_torn(text.replace("\r\n", "\n"))
    needed = ("record_id",)
    found = parsed(whole, name=NAME, columns=COLUMNS, needed=needed, most_cells=MOST_CELLS)
    if "\n" not in whole and not set(COLUMNS) <= set(_cells(whole)):
        raise damaged(InputRefused("is cut off within its first line"), NAME)
    return found._replace(torn=torn)


def parsed(
    text: str,
    *,
    name: str,
    columns: tuple[str, ...],
    needed: tuple[str, ...],
    most_cells: int,
) -> Record:
    """Return a table of added rows; columns that somebody added are kept behind ours.

    Raises
    ------
    SiteDamaged
        When it is no table, or lacks a column that it needs.
    """
    try:
        table = csv_text.parse(text, ",", most_cells=most_cells)
        missing = set(needed) - set(table.header)
        if missing:
            raise InputRefused(f"has no column {min(missing)}")  # noqa: TRY301 - one way to tell damage
    except InputRefused as error:
        raise damaged(error, name) from error
    rows = tuple(dict(zip(table.header, map(unguarded, row), strict=True)) for row in table.rows)
    extra = [each for each in table.header if each not in columns]
    return Record((*columns, *extra), rows)


def damaged(error: InputRefused, name: str) -> SiteDamaged:
    """Return what is told of a table that cannot be read; it is left as it is."""
    return SiteDamaged(
        error.problem, file=name, place=error.place, remedy="Mend it in a text editor."
    )


def with_rows(record: Record, rows: Sequence[Row]) -> bytes:
    """Return the file of a record with rows added, every row there was before them.

    Quotes are used as RFC 4180 has it. What a person said is never a spreadsheet's formula.
    """
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, record.columns, restval="", lineterminator="\n")
    writer.writeheader()
    for row in (*record.rows, *rows):
        writer.writerow({name: guarded(cell) for name, cell in row.items()})
    return out.getvalue().encode()


def kept_torn(
    folder: Folder, record: Record, *, disk: Disk = DISK
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Return the file beside the record that keeps a torn last line, and what says so.

    It changes together with the record: the line leaves the one when it is in the other. Both are
    empty when there is no such line.

    Raises
    ------
    InputRefused
        When an earlier file of that name cannot be read.
    """
    if not record.torn:
        return {}, ()
    path = folder.path / TORN
    try:
        facts = disk.look(path)
        there = facts is not None and facts.st_size > 0
        before = disk.do(read_regular, path, limit=SITE.file_bytes) if there else b""
    except OSError as error:
        raise not_opened(path, error) from error
    told = f"The last line of {NAME} was not whole; it is kept in {TORN}."
    return {TORN: before + record.torn.encode() + b"\n"}, (told,)


def _without_torn(text: str) -> tuple[str, str]:
    """Return the text up to the last whole line, and what stands behind it."""
    if text.endswith("\n"):
        return text, ""
    head, _, last = text.rpartition("\n")
    names, cells = (_cells(each) for each in (head or last, last))
    # A last line without its end of line is whole if every cell is there: editors leave it so.
    return (text, "") if len(cells) == len(names) else (f"{head}\n", last)


def _cells(text: str) -> list[str]:
    """Return the cells of the first line; none of one that no table has."""
    try:
        return next(csv.reader(io.StringIO(text)), [])
    except csv.Error:
        return []
