"""The files of the reference tables as rows, ours and those that outside treatments bring."""

from __future__ import annotations

import csv
import io
from dataclasses import fields
from importlib import resources
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

Line = dict[str, str]
Row = TypeVar("Row")

_READ: dict[str, Callable[[str], Any]] = {
    "str": str,
    "float": float,
    "int": int,
    "float | None": lambda text: float(text) if text else None,
    "int | None": lambda text: int(text) if text else None,
    "bool": {"yes": True, "no": False}.__getitem__,
    "tuple[str, ...]": lambda text: tuple(text.split()),
    "tuple[int, int]": lambda text: tuple(int(part) for part in text.split("-")),
}

# By table, the checked lines that others bring; see reference/bringing.py.
BROUGHT: dict[str, list[Line]] = {}


def lines(name: str) -> list[Line]:
    """Return the lines of one CSV file of the package, and behind them those that were brought."""
    text = resources.files("lawnmap.reference").joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return [*parsed(text), *BROUGHT.get(name, ())]


def parsed(text: str) -> list[Line]:
    """Return the lines of a CSV text; a quoted cell may go over several."""
    return list(csv.DictReader(io.StringIO(text, newline="")))


def row(kind: type[Row], line: Line) -> Row:
    """Return one line as an object; the types of its fields say how a cell is read.

    Raises
    ------
    KeyError, ValueError
        For a column that is missing, and a cell that is no such thing.
    """
    told = {each.name: _READ[str(each.type)] for each in fields(kind)}  # type: ignore[arg-type]
    return kind(**{column: read(line[column]) for column, read in told.items()})


def table(kind: type[Row], name: str) -> tuple[Row, ...]:
    """Return the rows of one file as objects."""
    return tuple(row(kind, line) for line in lines(name))
