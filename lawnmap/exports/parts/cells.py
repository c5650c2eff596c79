"""Cells that many tables and lists have: the head of a table, a box to tick, a line to write on."""

from __future__ import annotations

from collections.abc import Iterable

from lawnmap.pages.escape import Html, join, tag
from lawnmap.pages.words import word


def head(columns: Iterable[tuple[object, str]]) -> Html:
    """Return the head of a table; it repeats on every sheet of paper.

    Parameters
    ----------
    columns : iterable of (label, class)
        A class that is empty is left out.
    """
    cells = [tag("th", label, scope="col", class_=name or None) for label, name in columns]
    return tag("thead", tag("tr", join(cells)))


def heads(prefix: str, names: Iterable[str]) -> Html:
    """Return the head of a table whose columns are worded under one prefix, each with its class."""
    return head((word(f"{prefix}.{name}"), name) for name in names)


def box() -> Html:
    """Return a box to tick."""
    return tag("span", class_="box", aria_hidden="true")


def line() -> Html:
    """Return a line to write on."""
    return tag("span", class_="line")
