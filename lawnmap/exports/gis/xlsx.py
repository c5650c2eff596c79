"""The plan as a workbook (XLSX, ECMA-376): sheets of zones, steps, totals, loads and days."""

from __future__ import annotations

import datetime as dt
import io
import math
from collections.abc import Iterable, Iterator
from functools import cache
from importlib.util import find_spec
from numbers import Real
from typing import Any

import pandas as pd

from lawnmap import schema
from lawnmap.errors import ExtraNeeded
from lawnmap.exports.gis.csv_table import DECIMALS
from lawnmap.exports.gis.tables import table
from lawnmap.exports.parts.dated_work import visits, worked
from lawnmap.exports.parts.front import title
from lawnmap.exports.wording.amounts import currency, missing
from lawnmap.files.spreadsheet import guarded
from lawnmap.pages.escape import clean
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper

TITLE = "zones, steps, totals, loads and days as a workbook (XLSX)"
SUFFIX = ".xlsx"
AUDIENCE = "owner"

TABLES = ("zones", "steps", "totals", "loads")
MEANING = ["sheet", "header", "column", "unit", "meaning"]
DAYS = ("day", "day_last", "day_earliest", "day_latest", "fed_last", "sown_last", "use_by")
LONGEST = 32_767  # characters of a cell, by the specification of the programs that open it
FIRST_YEAR = 1900  # before which those programs know no day
NARROW, WIDE = 8, 48  # of a column, in letters
# What is counted says so itself, and some units stand in a column beside.
NO_UNIT = ("", "class", "count", "pH", "unit", "dose_unit", "number_unit", "product_unit")
MONEY = "money"
KEPT = ("zone id", "name")  # columns that stay in sight when one moves to the right


def render(paper: Paper) -> bytes:
    """Return the workbook.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience; columns that are absent are left out.

    Returns
    -------
    bytes
        Numbers are numbers with their unit in the header, days are days, and all else is text that
        no program runs: no formula, no link. The same paper gives the same bytes.

    Raises
    ------
    ExtraNeeded
        When XlsxWriter is not installed.
    """
    if find_spec("xlsxwriter") is None:
        raise ExtraNeeded(
            "a workbook is written by the package XlsxWriter, which is not installed",
            done="Nothing was written.",
            remedy="Install it: pip install 'lawnmap[xlsx]'. Or export the table (csv).",
        )
    import xlsxwriter

    kept = io.BytesIO()
    book = xlsxwriter.Workbook(kept, {"in_memory": True})
    # Where the clock and the name of whoever sits at the machine would stand otherwise.
    midnight = dt.datetime.combine(paper.plan.today, dt.time())
    book.set_properties({"created": midnight, "title": clean(title(paper)), "author": ""})
    pen, money = _Pen(book), currency(paper.plan.specification.choices)
    for name, found in _tables(paper).items():
        headers = [_header(each, money) for each in _columns(name, found)]
        pen.sheet(word(f"book.{name}"), headers, found.itertuples(index=False))
    pen.sheet(word("book.days"), [word(f"book.{x}") for x in ("day", "zone", "work")], _days(paper))
    pen.sheet(word("book.columns"), MEANING, _meanings(paper, money))
    book.close()
    return kept.getvalue()


class _Pen:
    """Writes cells of one book, each in the one way that fits it."""

    def __init__(self, book: Any) -> None:
        self.book = book
        self.bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
        self.day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left"})

    def sheet(self, name: str, headers: list[str], rows: Iterable[Iterable[Any]]) -> None:
        """Write a sheet with a head that stays in sight, and columns as wide as what they hold."""
        page = self.book.add_worksheet(name)
        widths = [max(NARROW, *map(len, each.split())) + 1 for each in headers]
        last = 0
        for last, row in enumerate(rows, start=1):
            for at, value in enumerate(row):
                widths[at] = max(widths[at], self._write(page, last, at, value) + 1)
        for at, header in enumerate(headers):
            page.write_string(0, at, clean(header), self.bold)
            page.set_column(at, at, min(widths[at], WIDE))
        page.freeze_panes(1, sum(each in KEPT for each in headers[: len(KEPT)]))
        if headers:
            page.autofilter(0, 0, max(last, 1), len(headers) - 1)

    def _write(self, page: Any, row: int, at: int, value: Any) -> int:
        """Write one cell and return how many letters it shows."""
        if missing(value):
            return 0
        if isinstance(value, dt.date):
            page.write_datetime(row, at, dt.datetime.combine(value, dt.time()), self.day)
            return len("2027-03-22")
        if isinstance(value, Real) and not isinstance(value, bool):
            number = round(float(value), DECIMALS) + 0.0  # no minus zero
            if math.isfinite(number):
                page.write_number(row, at, number)
            return len(f"{number:g}")
        text = guarded(clean(str(value)))[:LONGEST]
        page.write_string(row, at, text)
        return max(map(len, text.split("\n")))


def _tables(paper: Paper) -> dict[str, pd.DataFrame]:
    """Return the tables with days as days, and without columns of which nothing is known."""
    found = {}
    for name in TABLES:
        cells = table(paper, name).drop(columns="geometry", errors="ignore")
        empty = [each for each in cells.columns if len(cells) and cells[each].map(missing).all()]
        days = {each: cells[each].map(_day) for each in DAYS if each in cells.columns}
        found[name] = cells.assign(**days).drop(columns=empty)
    return found


def _columns(name: str, found: pd.DataFrame) -> list[schema.Column]:
    return [each for each in schema.columns(name) if each.name in found.columns]


def _header(column: schema.Column, money: str) -> str:
    """Return the name of a column in words, with its unit where it has one of its own."""
    unit = money if column.unit == MONEY else column.unit
    words = column.name.replace("_", " ")
    return words if unit in NO_UNIT else f"{words.removesuffix(f' {_tail(unit)}')} [{unit}]"


@cache
def _tail(unit: str) -> str:
    """Return how a unit stands in the name of a column.

    Examples
    --------
    >>> _tail("m²"), _tail("g/m²"), _tail("%"), _tail("°")
    ('m2', 'g m2', 'pct', 'deg')
    """
    plain = unit.replace("²", "2").replace("³", "3").replace("/", " ")
    return {"%": "pct", "°": "deg", "°C": "c"}.get(unit, plain)


def _day(value: Any) -> Any:
    """Return a cell that holds an ISO date as a day; any other as it is."""
    try:
        day = dt.date.fromisoformat(str(value))
    except ValueError:
        return value
    return day if day.year >= FIRST_YEAR else value


def _days(paper: Paper) -> Iterator[tuple[Any, ...]]:
    for day, _, here in visits(worked(paper)):
        for each in here:
            what = known("operation", str(each.row["operation"]))
            status = str(each.row.get("status") or schema.DO)
            if status != schema.DO:
                what = word("calendar.step", operation=what, what=known("status", status))
            yield day, each.zone, what


def _meanings(paper: Paper, money: str) -> Iterator[tuple[str, ...]]:
    """Yield what each column means, as the schema has it."""
    for name, found in _tables(paper).items():
        for each in _columns(name, found):
            yield word(f"book.{name}"), _header(each, money), each.name, each.unit, each.meaning
