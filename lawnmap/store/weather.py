"""``weather.csv``: temperature, rain and frost by days, as measured or foretold.

It comes from a weather station, a web page or a spreadsheet, in any order of days. A figure in
another unit looks like any other, so each is held against what has been met on earth.
"""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.agronomy.weather import SERIES, Weather
from lawnmap.errors import InputRefused
from lawnmap.files import csv_text, numbers
from lawnmap.files.utf8 import decode
from lawnmap.store import keys
from lawnmap.store.folder import Folder
from lawnmap.store.inside import typed

NAME = "weather.csv"
DATE, FROST, MEAN, LOWEST, HIGHEST = "date", "frost", "mean_c", "min_c", "max_c"
LARGEST = 5_000_000
MOST_ROWS = 20_000
FIRST_YEAR, LAST_YEAR = 1900, 2100
YES_NO = {"yes": 1.0, "no": 0.0, "": np.nan}


class _Range(NamedTuple):
    low: float
    high: float
    unit: str
    hint: str


_CELSIUS = "Temperatures are in °C; is this one in °F?"
# Somewhat beyond what has been met where grass is mown.
RANGES = {
    MEAN: _Range(-50, 45, "°C", _CELSIUS),
    LOWEST: _Range(-60, 45, "°C", _CELSIUS),
    HIGHEST: _Range(-45, 55, "°C", _CELSIUS),
    "soil_c": _Range(-25, 45, "°C", _CELSIUS),
    "rain_mm": _Range(0, 1_000, "mm", "Rain is in mm."),
}
COLUMNS = (DATE, *RANGES, FROST)
MOST_CELLS = (MOST_ROWS + 1) * len(COLUMNS)


def read(folder: Folder) -> Weather | None:
    """Return the weather kept with a site; None when it keeps none.

    Raises
    ------
    InputRefused
        With the line and what it may hold.
    """
    data = typed(folder.weather, limit=LARGEST)
    return None if data is None else parse(data)


def parse(data: bytes, *, name: str = NAME) -> Weather:
    r"""Return the weather in `data`.

    Parameters
    ----------
    data : bytes
        A table with the columns ``date`` (days written YYYY-MM-DD, in any order, each once) and
        ``mean_c`` or both ``min_c`` and ``max_c``; ``soil_c``, ``rain_mm`` and ``frost`` (yes or
        no) may be there. An empty cell is a figure that nobody has.
    name : str
        For messages.

    Raises
    ------
    InputRefused
        With the line and what it may hold.

    Examples
    --------
    >>> parse(b"date,min_c,max_c\n2026-04-02,3,11\n2026-04-01,2,8\n").mean_c.tolist()
    [5.0, 7.0]
    """
    try:
        return _series(_lines(csv_text.parse(decode(data, name), ",", most_cells=MOST_CELLS)))
    except InputRefused as error:
        error.file = name
        raise


def _lines(table: csv_text.Table) -> dict[dt.date, dict[str, float]]:
    """Return the figures of each day."""
    _check_columns(table.header)
    if not table.rows:
        raise InputRefused("holds no day", remedy="Fill it in or take it away.")
    if len(table.rows) > MOST_ROWS:
        raise InputRefused(f"holds more than {MOST_ROWS:,} days", remedy="Leave out old years.")
    days: dict[dt.date, dict[str, float]] = {}
    line_of: dict[dt.date, int] = {}
    for line, cells in zip(table.lines, table.rows, strict=True):
        row = dict(zip(table.header, cells, strict=True))
        day = _day(row[DATE].strip(), line)
        if day in days:
            raise InputRefused(
                f"{day} stands in line {line_of[day]} already",
                place=f"line {line}",
                remedy="Keep one line for each day.",
            )
        days[day], line_of[day] = _figures(row, line), line
    return days


def _check_columns(header: list[str]) -> None:
    for column in header:
        if column not in COLUMNS:
            raise keys.unknown(column[:40], COLUMNS, file="", place="the header")
    warmth = MEAN in header or {LOWEST, HIGHEST} <= set(header)
    if DATE not in header or not warmth:
        raise InputRefused(
            f"has no column {DATE}" if DATE not in header else "has no temperature of the air",
            remedy=f"It needs {DATE} and {MEAN}, or {DATE}, {LOWEST} and {HIGHEST}.",
        )


def _day(cell: str, line: int) -> dt.date:
    try:
        day = dt.date.fromisoformat(cell)
    except ValueError:
        day = None
    if day is None or day.isoformat() != cell or not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise InputRefused(
            f"{cell[:40]!r} is not a day from {FIRST_YEAR} to {LAST_YEAR}",
            place=f"line {line}, {DATE}",
            remedy="Write it as 2026-10-26.",
        )
    return day


def _figures(row: Mapping[str, str], line: int) -> dict[str, float]:
    """Return the figures of one line; NaN where a cell is empty or there is no such column."""
    found = {name: _figure(row.get(name, ""), name, line) for name in RANGES}
    found[FROST] = _frost(row.get(FROST, ""), line)
    low, mean, high = found[LOWEST], found[MEAN], found[HIGHEST]
    for (one, less), (other, more) in itertools.combinations(
        ((LOWEST, low), (MEAN, mean), (HIGHEST, high)), 2
    ):
        if less > more:
            raise InputRefused(
                f"{one} is above {other}", place=f"line {line}", remedy="Look for a slip."
            )
    if np.isnan(mean):
        found[MEAN] = (low + high) / 2
    return found


def _figure(cell: str, name: str, line: int) -> float:
    if not cell.strip():
        return np.nan
    place, (low, high, unit, hint) = f"line {line}, {name}", RANGES[name]
    try:
        value = numbers.number(cell)
    except ValueError as error:
        raise InputRefused(str(error), place=place, remedy="Write it as -1.5.") from error
    if not low <= value <= high:
        raise InputRefused(
            f"{value:g} is outside {low:g} to {high:g} {unit}", place=place, remedy=hint
        )
    return value


def _frost(cell: str, line: int) -> float:
    word = cell.strip()
    if word not in YES_NO:
        raise InputRefused(
            f"{word[:40]!r} is neither yes nor no",
            place=f"line {line}, {FROST}",
            remedy="Write yes or no, or leave it empty.",
        )
    return YES_NO[word]


def _series(days: Mapping[dt.date, Mapping[str, float]]) -> Weather:
    """Return the figures as one value a day from the first day to the last."""
    first, last = min(days), max(days)
    number = (last - first).days + 1
    series: dict[str, npt.NDArray[np.float64]] = {name: np.full(number, np.nan) for name in SERIES}
    for day, figures in days.items():
        for name, value in figures.items():
            series[name][(day - first).days] = value
    return Weather(first, **series)
