"""Every word a page shows, from one table, so that another language is another file."""

from __future__ import annotations

import csv
from functools import cache

from lawnmap.pages.page import asset


@cache
def table() -> dict[str, str]:
    """Return every wording by its key."""
    rows = csv.DictReader(asset("words.csv").splitlines())
    return {row["key"]: row["text"] for row in rows}


def word(key: str, **blanks: object) -> str:
    """Return one wording with its blanks filled.

    What fills a blank is not looked at for further blanks. The result is text: whoever puts it on
    a page escapes it.

    Raises
    ------
    KeyError
        When the key or a blank is missing.
    """
    return table()[key].format_map({name: str(value) for name, value in blanks.items()})


def known(prefix: str, name: str) -> str:
    """Return the wording of a schema word or plugin name, else the name as plain words.

    Examples
    --------
    >>> known("operation", "worm_casting")
    'worm casting'
    """
    return table().get(f"{prefix}.{name}", name.replace("_", " "))


def starting(prefix: str) -> dict[str, str]:
    """Return the wordings under one prefix, without it."""
    head = f"{prefix}."
    return {key.removeprefix(head): text for key, text in table().items() if key.startswith(head)}
