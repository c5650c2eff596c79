"""``lawnmap record``."""

from __future__ import annotations

import datetime as dt
from typing import Any

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.argument("words", nargs=-1, metavar="[ZONE OPERATION] [KEY=VALUE]...")
@click.option("--list", "listing", is_flag=True, help="List what was recorded.")
@click.option("--cancel", metavar="RECORD_ID", help="Take a row back, with reason=.")
@click.option(
    "--register",
    metavar="FILE.csv",
    help="Write the register of a year, with the fields that law names; - for standard output.",
)
@click.option("--year", type=click.IntRange(1, 9999), help="With --list or --register: of which.")
@click.option("--any-product", is_flag=True, help="Take a product that there is no label card of.")
@click.option("--dry-run", is_flag=True, help="Work it out, say it and save nothing.")
@options.FORCE
@options.DEPOT
@options.TODAY
@options.talking
def record(talk: Talk, site: str, depot: str | None, today: dt.date, **asked: Any) -> None:
    """Record what was really done, one zone at a time.

    A row is added and never changed: a mistake is taken back with --cancel and recorded once more.
    The day is today when no date= is given. Keys are listed in docs/record.md. A value with a space
    in it stands in quotes.

    \b
    Example:
      lawnmap record garden main iron_soluble amount="562.5 g" area="180 m2" product="Moss iron 5"
      lawnmap record garden --cancel work.1 reason="wrong zone"
      lawnmap record garden --register 2026.csv --year 2026
    """  # noqa: D301 - click keeps the lines of a paragraph that begins with this character
    from lawnmap.cli import record_doing

    how = record_doing.chosen(asked)
    record_doing.WAYS[how](talk, site, depot, today, asked)
