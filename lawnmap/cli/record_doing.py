"""What ``lawnmap record`` may be asked for, one function each: record, list, cancel, register."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import click

from lawnmap.cli import record_text, working
from lawnmap.cli.talk import Talk
from lawnmap.jobs import register as registers
from lawnmap.jobs.cancel import cancel
from lawnmap.jobs.opening import own_folder
from lawnmap.jobs.record import Done, record
from lawnmap.store import site as site_store

Asked = Mapping[str, Any]
TAKES = {  # beside SITE, --depot, --today
    "record": ("words", "any_product", "dry_run"),
    "cancel": ("words", "dry_run"),
    "listing": ("year",),
    "register": ("year", "force"),
}
SPOKEN = {"record": "recording work", "listing": "--list"}


def chosen(asked: Asked) -> str:
    """Return which of the four it is.

    Raises
    ------
    UsageError
        For two of them at once, or something that does not go with the one.
    """
    ways = [way for way in ("listing", "cancel", "register") if asked[way]]
    if len(ways) > 1:
        raise click.UsageError("--list, --cancel and --register: one at a time")
    way = ways[0] if ways else "record"
    for name, value in asked.items():
        if value and name not in (*TAKES[way], *ways):
            told = f"--{name.replace('_', '-')}" if name != "words" else repr(value[0])
            raise click.UsageError(f"{told} does not go with {SPOKEN.get(way, f'--{way}')}")
    return way


def _record(talk: Talk, site: str, depot: str | None, today: dt.date, asked: Asked) -> None:
    folder = own_folder(site)
    words, given = split(asked["words"])
    if len(words) != len(("zone", "operation")):
        raise click.UsageError(_wrong_words(words))
    opened, specification = working.opened_with_choices(talk, site, depot, today)
    done = Done(words[0], words[1], given, any_product=asked["any_product"])
    dry_run = asked["dry_run"]
    found = record(folder, opened.site, specification, done, today=today, dry_run=dry_run)
    talk.warn(*found.warnings)
    talk.result(record_text.data(found), record_text.recorded(found))


def _cancel(talk: Talk, site: str, _: str | None, today: dt.date, asked: Asked) -> None:
    folder = own_folder(site)
    words, given = split(asked["words"])
    if words:
        raise click.UsageError(
            f"{words[0]!r} does not go with --cancel: record the right work afterwards"
        )
    there = site_store.load(folder)
    row, dry_run = asked["cancel"], asked["dry_run"]
    found = cancel(folder, there, row, given, today=today, dry_run=dry_run)
    talk.warn(*found.warnings)
    talk.result(record_text.data(found), record_text.cancelled(found))


def _list(talk: Talk, site: str, _: str | None, __: dt.date, asked: Asked) -> None:
    folder = own_folder(site)
    found = registers.listed(folder, site_store.load(folder), asked["year"])
    talk.warn(*found.warnings)
    talk.result(record_text.rows_data(found), record_text.rows(found, asked["year"]))


def _register(talk: Talk, site: str, depot: str | None, today: dt.date, asked: Asked) -> None:
    folder, year = own_folder(site), asked["year"] or today.year
    opened, specification = working.opened_with_choices(talk, site, depot, today)
    data, count, warnings = registers.register(folder, opened.site, specification, year)
    talk.warn(*warnings)
    if asked["register"] == "-":
        click.echo(data, nl=False)
        return
    path = Path(asked["register"])
    talk.warn(*registers.write(data, path, force=asked["force"]))
    result = {"path": str(path), "year": year, "rows": count, "bytes": len(data)}
    talk.result(result, record_text.register(path, year, count))


WAYS: dict[str, Callable[[Talk, str, str | None, dt.date, Asked], None]] = {
    "record": _record,
    "cancel": _cancel,
    "listing": _list,
    "register": _register,
}


def split(words: tuple[str, ...]) -> tuple[list[str], dict[str, str]]:
    """Return the words without an equals sign, and the others as keys and values.

    Raises
    ------
    UsageError
        For a word behind the first key, or a key that is given twice.
    """
    plain: list[str] = []
    given: dict[str, str] = {}
    for word in words:
        name, equals, value = word.partition("=")
        if not equals and given:
            key, before = list(given.items())[-1]
            raise click.UsageError(
                f"{word!r} stands alone: put a value with a space in it in quotes, "
                f'{key}="{before} {word}"'
            )
        if not equals:
            plain.append(word)
        elif not name.strip():
            raise click.UsageError(f"{word!r} has no name before its equals sign")
        elif name.strip() in given:
            raise click.UsageError(f"{name.strip()}= is given twice")
        else:
            given[name.strip()] = value.strip()
    return plain, given


def _wrong_words(words: list[str]) -> str:
    if not words:
        return "say which ZONE and which OPERATION, or --list, --cancel or --register"
    if len(words) == 1:
        return f"say where and what: {words[0]!r} is only one of ZONE and OPERATION"
    return (
        f"only ZONE and OPERATION stand without a name: write {words[2]!r} as KEY=VALUE "
        'such as amount="562.5 g", or put a name with a space in it in quotes'
    )
