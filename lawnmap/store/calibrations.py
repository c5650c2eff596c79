"""``calibration.csv`` in the depot: what each applicator was found to put on. Rows are only added.

Cells are text in SI units; an empty one says that nothing was measured.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from lawnmap.agronomy.catching import CatchTest
from lawnmap.errors import InputRefused
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import commit, sweep
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.lock import locked
from lawnmap.files.numbers import number
from lawnmap.files.utf8 import decode
from lawnmap.model import Machine
from lawnmap.store.folder import not_opened
from lawnmap.store.record import Record, damaged, leads_nowhere, parsed, with_rows

NAME = "calibration.csv"
LOCK = ".lawnmap/calibration.lock"
COLUMNS = (
    "date",
    "operator",
    "applicator",
    "kind",
    "nozzle",
    "pressure_bar",
    "setting",
    "product",
    "water_l_m2",
    "rate_g_m2",
    "width_m",
    "speed_km_h",
    "flow_l_min",
    "measured",
)
LARGEST = 20_000_000
MOST_CELLS = 1_000_000
WATER, RATE = "water_l_m2", "rate_g_m2"
MOST_WATER, MOST_RATE = 20, 10_000  # [l/m²], [g/m²], as on the cards of machines and products
PACES = {"width_m": 20, "speed_km_h": 20}  # and the most of each, as on the card of a machine
# As on the cards. At a thousandth of a walk the days of a plan have no end.
LEAST = {WATER: 0.001, RATE: 0.001, "width_m": 0.05, "speed_km_h": 0.1}
UNITS = {WATER: "l/m²", RATE: "g/m²", "width_m": "m", "speed_km_h": "km/h"}
WALKED = ("knapsack", "sprayer", "drop", "rotary")  # a can is not walked at a width
Row = Mapping[str, str]


def read(depot: Path | None, *, disk: Disk = DISK) -> tuple[Row, ...]:
    """Return every calibration of a depot, in the order they were made; none without a depot.

    Raises
    ------
    SiteDamaged
        When the file is not such a table. It is left as it is.
    """
    return _read(depot / NAME, disk).rows if depot is not None else ()


def append(depot: Path, row: Row, *, disk: Disk = DISK) -> tuple[str, ...]:
    """Add one calibration behind those there are, and return warnings.

    Parameters
    ----------
    depot : Path
        An existing folder.
    row : mapping of str to str
        Cells by name, of COLUMNS.

    Raises
    ------
    InputRefused
        When the depot is no folder or the row has a column that there is not.
    SiteDamaged
        When the file there is damaged; it is left as it is, and nothing is added.
    WriteFailed, Busy
        When the disk does not take it, or somebody else is writing. Nothing was added then.
    """
    strange = sorted(set(row) - set(COLUMNS))
    if strange:
        raise InputRefused(f"there is no column {strange[0]!r}", file=NAME)
    if not os.path.isdir(depot):  # noqa: PTH112 - never raises, whatever the name
        raise InputRefused("is not a folder", file=depot.name, remedy="Make the depot's folder.")
    path = depot / NAME
    with locked(depot / LOCK, guards=NAME, disk=disk):
        there = _read(path, disk)
        sweep(path, disk=disk)
        return commit(path, with_rows(there, [row]), force=True, disk=disk)


def latest(rows: tuple[Row, ...], applicator: str, **wanted: str) -> Row | None:
    """Return the newest calibration of an applicator; of one day, the last that was added.

    Parameters
    ----------
    rows : tuple of mapping
        As read.
    applicator : str
        Its name, whatever the case of its letters.
    **wanted : str
        Cells that must be just so, such as ``nozzle="red 03"`` or ``product="Moss iron"``.
    """
    found = [
        row
        for row in rows
        if row.get("applicator", "").casefold() == applicator.casefold()
        and all(row.get(name, "") == value for name, value in wanted.items())
    ]
    # max gives the first of equals, and the last added counts.
    return max(reversed(found), key=lambda row: row.get("date", ""), default=None)


def applied(
    machines: Mapping[str, Machine], rows: tuple[Row, ...], *, today: dt.date
) -> dict[str, Machine]:
    """Return the machines, each with what it was last found to do.

    The newest water, the newest width and the newest speed count before those of the card, each
    for itself, and every rate of a spreader is kept beside its setting.

    Parameters
    ----------
    machines : mapping of str to Machine
        By name. One that was never calibrated stays as it is.
    rows : tuple of mapping
        As read.
    today : date
        What was measured after this day is not known yet.

    Raises
    ------
    InputRefused
        When the row that counts has no good day or no possible figure.
    """
    known = tuple(row for row in rows if row.get("date", "") <= today.isoformat())
    return {name: _measured(machine, known) for name, machine in machines.items()}


def _measured(machine: Machine, rows: tuple[Row, ...]) -> Machine:
    """Return one machine with what was measured on it."""
    water = latest(_with(rows, WATER), machine.name)
    if water is not None:
        amount, day = _figure(machine, water, WATER, MOST_WATER)
        machine = replace(machine, water_l_m2=amount, calibrated=day)
    walked = tuple(row for row in rows if row.get("kind", "") in WALKED)
    for column, most in PACES.items():
        row = latest(_with(walked, column), machine.name)
        if row is not None:
            pace, day = _figure(machine, row, column, most)
            wide, quick = (pace if column == each else getattr(machine, each) for each in PACES)
            newest = max(day, machine.paced or day)
            machine = replace(machine, width_m=wide, speed_km_h=quick, paced=newest)
    return replace(machine, caught=machine.caught + _caught(machine, rows))


def _with(rows: tuple[Row, ...], column: str) -> tuple[Row, ...]:
    return tuple(row for row in rows if row.get(column, "").strip())


def _caught(machine: Machine, rows: tuple[Row, ...]) -> tuple[CatchTest, ...]:
    """Return the catch tests of a spreader by their day; of one day in the order of the file."""
    found = []
    for row in _with(rows, RATE):
        if row.get("applicator", "").casefold() == machine.name.casefold():
            rate, day = _figure(machine, row, RATE, MOST_RATE)
            product, setting = (row.get(name, "").strip() for name in ("product", "setting"))
            found.append(CatchTest(day, product, setting, rate))
    return tuple(sorted(found, key=lambda each: each.day))


def _figure(machine: Machine, row: Row, column: str, most: float) -> tuple[float, dt.date]:
    """Return a figure of a row and its day."""
    try:
        day, figure = dt.date.fromisoformat(row["date"]), number(row[column])
    except ValueError:
        day, figure = dt.date.min, 0.0
    unit, least = UNITS[column], LEAST[column]
    if not least <= figure <= most or day == dt.date.min:
        raise InputRefused(
            f"says {row[column][:40]!r} {unit} on {row['date'][:40]!r}",
            file=NAME,
            place=f"the calibration of {machine.name}",
            remedy=f"Write a day as 2027-03-01, and {least} to {most} {unit}.",
        )
    return figure, day


def _read(path: Path, disk: Disk) -> Record:
    """Return the table; columns that somebody added are kept."""
    try:
        facts = disk.look(path)
        if facts is None and path.is_symlink():
            raise leads_nowhere(NAME)
        if facts is None or facts.st_size == 0:
            return Record(COLUMNS, ())
        text = decode(disk.do(read_regular, path, limit=LARGEST), NAME).replace("\r\n", "\n")
    except InputRefused as error:
        if isinstance(error.__cause__, OSError) or facts is None:
            raise  # what cannot be opened is not damaged
        raise damaged(error, NAME) from error
    except OSError as error:
        raise not_opened(path, error) from error
    needed = ("date", "applicator")
    return parsed(text, name=NAME, columns=COLUMNS, needed=needed, most_cells=MOST_CELLS)
