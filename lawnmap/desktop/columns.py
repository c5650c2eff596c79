"""What our columns are called, hold and mean: ``columns.csv``, made by docs/desktop_columns.py."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import NamedTuple

TEXT, NUMBER, COUNT, BOOLEAN = "text", "number", "count", "yes or no"
WHY = "why"  # the sentence that lawnmap prints with each step
UNITS = {
    "class",
    "count",
    "dose_unit",
    "unit",
    "money",
    "number_unit",
    "product_unit",
    "pH",
}  # no units


class Column(NamedTuple):
    """One column: its type, its unit when it has one, and whether lawnmap works it out."""

    name: str
    type: str
    unit: str = ""
    worked_out: bool = True
    meaning: str = ""

    @property
    def title(self) -> str:
        """The name for people: words, and the unit in brackets."""
        parts = self.name.split("_")
        unit = "" if self.unit in UNITS else self.unit
        for count in range(len(parts) - 1, 0, -1) if unit else ():
            if "_".join(parts[count:]) in SUFFIXES.get(unit, ()):
                parts = parts[:count]
                break
        words = " ".join(parts)
        return f"{words} [{unit}]" if unit else words


# How a unit stands at the end of a name.
SUFFIXES = {
    "m²": ("m2",), "m": ("m",), "mm": ("mm",), "%": ("pct",), "°": ("deg",), "h": ("h", "hours"),
    "g/m²": ("g_m2",), "l": ("l",), "l/min": ("l_min",), "g/l": ("g_l",), "d": ("days",),
    "°C": ("c",), "kg": ("kg",),
}  # fmt: skip


@cache
def columns(table: str) -> tuple[Column, ...]:
    """Return the columns of a table, in their order."""
    path = Path(__file__).with_name("columns.csv")
    with path.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["table"] == table]
    return tuple(
        Column(row["name"], row["type"], row["unit"], bool(row["worked_out"]), row["meaning"])
        for row in rows
    )


def named(table: str, names: list[str]) -> list[Column]:
    """Return some columns of a table, in the order of the names."""
    known = {column.name: column for column in columns(table)}
    return [known[name] for name in names if name in known]


def worked_out() -> list[Column]:
    """Return the columns of the zones that lawnmap works out."""
    return [column for column in columns("zones") if column.worked_out]


def facts() -> list[Column]:
    """Return the columns of the zones that somebody saw or measured."""
    return [column for column in columns("zones") if not column.worked_out]
