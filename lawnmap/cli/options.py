"""The options that several commands share, each defined once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from functools import reduce
from typing import Any

import click

from lawnmap.agronomy.unit_systems import SYSTEMS
from lawnmap.cli.talk import Talk

Command = Callable[..., Any]


def _set(name: str) -> Callable[[click.Context, click.Parameter, Any], None]:
    """Return a callback that stores an option on the command's Talk and nowhere else."""

    def store(context: click.Context, _: click.Parameter, value: Any) -> None:
        talk: Talk = context.ensure_object(Talk)
        talk.command = context.info_name or ""
        setattr(talk, name, value)

    return store


def talking(command: Command) -> Command:
    """Add ``--json``, ``--quiet`` and ``--debug`` to a command and pass it its Talk."""
    options = [
        click.option(
            "--json",
            is_flag=True,
            expose_value=False,
            callback=_set("json"),
            is_eager=True,
            help="Print the result as one JSON document.",
        ),
        click.option(
            "-q",
            "--quiet",
            is_flag=True,
            expose_value=False,
            callback=_set("quiet"),
            is_eager=True,
            help="Say nothing but the result and errors.",
        ),
        click.option(
            "--debug",
            is_flag=True,
            expose_value=False,
            callback=_set("debug"),
            is_eager=True,
            help="Show the full trace of a fault.",
        ),
    ]
    return reduce(lambda made, option: option(made), reversed(options), click.pass_obj(command))


def several(options: Sequence[Callable[[Command], Command]]) -> Callable[[Command], Command]:
    """Return what adds several options to a command, in their order."""
    return lambda command: reduce(lambda made, option: option(made), reversed(options), command)


SITE = click.argument("site", type=click.Path())
INTO = click.option("--into", type=click.Path(), help="Site folder to put what is read into.")
OUTPUT = click.option(
    "-o", "--output", type=click.Path(), help="File to write; - for standard output."
)
FORCE = click.option("--force", is_flag=True, help="Replace a file that is there already.")
UNITS = click.option(
    "--units",
    type=click.Choice(SYSTEMS),
    callback=lambda _context, _option, value: value or "",
    help="Units to read in; otherwise those that the specification chooses.",
)
ON_PAPER = [
    click.option(
        "--language",
        default="",
        help="Of the words: en, or de for the summary and the notice.",
    ),
    click.option("--audience", help="Who it is for: public, client, crew or owner."),
    click.option(
        "--with",
        "also",
        multiple=True,
        metavar="COLUMN",
        help="Let out what is kept back from the audience otherwise, such as private_note; one by "
        "one.",
    ),
    click.option("--schematic", is_flag=True, help="Leave the real position out."),
]
ON_MAP = [
    click.option(
        "--backdrop",
        is_flag=True,
        help="Show the plan picture under the zones of the map. It is left out otherwise, since a "
        "plan may have a name and an address written on it.",
    ),
    click.option(
        "--before",
        default="",
        metavar="SURVEY",
        help="The closed survey that the map sets beside today, such as 2026-03-01; otherwise the "
        "last.",
    ),
    click.option(
        "--photos",
        is_flag=True,
        help="Show the photos of the zones. They are left out otherwise, since a photo may show "
        "faces, number plates and houses.",
    ),
    click.option(
        "--basemap",
        default="",
        metavar="NAME",
        help="Show a map from outside behind the zones: whoever opens the page then asks its host, "
        "which sees where they look.",
    ),
]
AT_SCALE = [
    click.option(
        "--scale",
        type=click.IntRange(0, 1_000_000),
        default=0,
        metavar="N",
        help="Of the plan in svg: 200 draws it at 1:200; otherwise the largest that fits.",
    ),
    click.option(
        "--paper",
        "sheet",
        default="A4",
        metavar="SIZE",
        help="Of a PDF: A4, A3 or Letter. Of the plan in svg also A2, A1, A0, Tabloid, 600x400 in "
        "millimetres.",
    ),
    click.option("--landscape", is_flag=True, help="Lay the paper of a PDF on its side."),
    click.option(
        "--crs",
        default="",
        help="Of the GeoPackage: EPSG:27700, or WKT; otherwise longitude and latitude.",
    ),
]
SETTING_OUT = click.option(
    "--setting-out",
    is_flag=True,
    help="Work out pass lines however many zones there are; without it a large site has none.",
)
DEPOT = click.option(
    "--depot",
    type=click.Path(),
    help="Folder with your products.toml and machines.toml. Otherwise the nearest folder above the "
    "site that holds a products.toml.",
)


def day_or_none(_: click.Context, __: click.Parameter, value: str | None) -> dt.date | None:
    """Return the day that an option was given, None when it was left out."""
    if value is None:
        return None
    try:
        return dt.date.fromisoformat(value)
    except ValueError as error:
        raise click.BadParameter(f"{value!r} is not a date: write YYYY-MM-DD") from error


def _today(context: click.Context, option: click.Parameter, value: str | None) -> dt.date:
    """Return the day that was given, else the day it is on the site (arguments are read first)."""
    given = day_or_none(context, option, value)
    if given is not None:
        return given
    from lawnmap.jobs.today import today

    return today(context.params.get("site") or context.params.get("into"))


TODAY = click.option(
    "--today",
    callback=_today,
    metavar="YYYY-MM-DD",
    help="Work as if today were this day. Otherwise it is the day in the site's time zone.",
)
