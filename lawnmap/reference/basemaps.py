"""Map tiles that public bodies give away without a key: whose, where, and on which terms."""

from __future__ import annotations

import csv
from functools import cache
from importlib import resources
from typing import NamedTuple


class Service(NamedTuple):
    """One service.

    Attributes
    ----------
    name : str
    url : str
        With the blanks ``{z}``, ``{x}`` and ``{y}``.
    attribution : str
        What has to be said beside its map.
    max_zoom : int
        The closest it shows.
    area : str
        Where it has a map.
    terms : str
        On which terms, and where they are to be read.
    standing : str
        How firmly terms and address are known, as in the other tables.
    """

    name: str
    url: str
    attribution: str
    max_zoom: int
    area: str
    terms: str
    standing: str


@cache
def services() -> dict[str, Service]:
    """Return every service by its name."""
    table = resources.files("lawnmap.reference").joinpath("basemaps.csv")
    found = {}
    for row in csv.DictReader(table.read_text(encoding="utf-8").splitlines()):
        max_zoom = int(row.pop("max_zoom"))
        found[row["name"]] = Service(**row, max_zoom=max_zoom)
    return found
