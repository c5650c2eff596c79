"""Every word a page shows, from one table a language, so that another language is another file.

How numbers and dates are written stands in the same table. A wording that a language lacks is said
in English; which papers a language is whole for, each paper says itself.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache

from lawnmap.pages.page import asset

ENGLISH = "en"
TABLES = {ENGLISH: "words.csv", "de": "words.de.csv"}

# Titles that outside treatments bring: a word of theirs is said in every language alike.
BROUGHT: dict[str, str] = {}

_language: ContextVar[str] = ContextVar("language", default=ENGLISH)


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Say everything in one language until the end of the block.

    Raises
    ------
    KeyError
        When there is no table of it.
    """
    table(language)
    before = _language.set(language)
    try:
        yield
    finally:
        _language.reset(before)


def language() -> str:
    """Return the language that is spoken, such as ``en`` (BCP 47)."""
    return _language.get()


@cache
def table(language: str = ENGLISH) -> dict[str, str]:
    """Return every wording of one language by its key."""
    rows = csv.DictReader(asset(TABLES[language]).splitlines())
    own = {row["key"]: row["text"] for row in rows}
    return own if language == ENGLISH else {**table(), **own}


def word(key: str, **blanks: object) -> str:
    """Return one wording with its blanks filled.

    What fills a blank is not looked at for further blanks. The result is text: whoever puts it on
    a page escapes it.

    Raises
    ------
    KeyError
        When the key or a blank is missing.
    """
    found = table(_language.get())[key]
    return found.format_map({name: str(value) for name, value in blanks.items()})


def known(prefix: str, name: str) -> str:
    """Return the wording of a schema word or plugin name, else the name as plain words.

    Examples
    --------
    >>> known("operation", "worm_casting")
    'worm casting'
    """
    key = f"{prefix}.{name}"
    return table(_language.get()).get(key) or BROUGHT.get(key) or name.replace("_", " ")


def starting(prefix: str) -> dict[str, str]:
    """Return the wordings under one prefix, without it."""
    head = f"{prefix}."
    found = table(_language.get())
    return {key.removeprefix(head): text for key, text in found.items() if key.startswith(head)}
