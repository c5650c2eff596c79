"""The jobs behind ``record --list`` and ``record --register``: the record as it stands."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path

from lawnmap.files.alone import put
from lawnmap.files.spreadsheet import guarded
from lawnmap.jobs.record import came_from
from lawnmap.model import Site, Specification
from lawnmap.processing.judgement.turf import turf_types
from lawnmap.processing.records import register as step
from lawnmap.processing.records.recorded import Row, day, doubts, handed_down, taken_back
from lawnmap.processing.records.register import Ground
from lawnmap.store import record as store
from lawnmap.store.folder import Folder

BOM = "\ufeff"  # without it some spreadsheets read UTF-8 in the code page of the machine


@dataclass(frozen=True)
class Listed:
    """Rows of the record, by day.

    Attributes
    ----------
    rows : tuple of mapping
    gone : mapping of str to mapping
        The row that took each back, by record_id.
    warnings : tuple of str
    """

    rows: tuple[Row, ...]
    gone: dict[str, Row]
    warnings: tuple[str, ...] = ()


def listed(folder: Folder, site: Site, year: int | None) -> Listed:
    """Return every row of work of a year, or of all; those of no day stand first in all."""
    there = store.read(folder)
    rows = [
        row
        for row in there.rows
        if row.get("operation")
        and (year is None or ((when := day(row)) is not None and when.year == year))
    ]
    rows.sort(key=lambda row: row.get("date", ""))
    return Listed(tuple(rows), taken_back(there.rows), _doubts(there, site))


def register(
    folder: Folder, site: Site, specification: Specification, year: int
) -> tuple[bytes, int, tuple[str, ...]]:
    """Return the register of a year as CSV, how many rows it has, and warnings.

    UTF-8 with a byte-order mark, lines ended by CR LF, text in quotes, numbers bare; no cell is a
    spreadsheet's formula.
    """
    there = store.read(folder)
    head, *lines = step.table(there.rows, year, _grounds(site, specification))
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(
        [_cell(name, cell) for name, cell in zip(step.HEADS, line, strict=True)] for line in lines
    )
    return (BOM + text.getvalue()).encode(), len(lines), _doubts(there, site)


def write(data: bytes, path: Path, *, force: bool) -> tuple[str, ...]:
    """Write a register; a file that is there already is replaced only by `force`.

    Returns
    -------
    tuple of str
    """
    return put(path, data, force=force)


def _grounds(site: Site, specification: Specification) -> dict[str, Ground]:
    zones = site.zones
    turf = turf_types(zones, specification)
    points = zones.geometry.representative_point()
    return {
        str(zone_id): Ground(
            str(name or ""),
            str(crop),
            *((f"{point.x:.6f}", f"{point.y:.6f}") if site.placed else ()),
        )
        for zone_id, name, crop, point in zip(zones.index, zones["name"], turf, points, strict=True)
    }


def _doubts(there: store.Record, site: Site) -> tuple[str, ...]:
    torn = f"The last line of {store.NAME} is not whole and was left out." if there.torn else ""
    zone_ids = {str(zone_id) for zone_id in site.zones.index}
    return (
        *([torn] if torn else []),
        *doubts(handed_down(there.rows, came_from(site)), zone_ids),
    )


def _cell(name: str, cell: str) -> str | float:
    """Return a cell as the csv module takes it: bare when it is a number, quoted when text."""
    if name in step.NUMBERS and cell:
        try:
            value = float(cell)
        except ValueError:
            return guarded(cell)
        return int(value) if value.is_integer() else value
    return guarded(cell)
