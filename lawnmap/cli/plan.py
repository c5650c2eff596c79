"""``lawnmap plan``."""

from __future__ import annotations

import datetime as dt

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@options.DEPOT
@options.TODAY
@click.option("--zone", help="Show one zone only, with the reason for every number.")
@click.option("--why", is_flag=True, help="Give the reason for every number.")
@options.talking
def plan(
    talk: Talk, site: str, depot: str | None, today: dt.date, zone: str | None, *, why: bool
) -> None:
    """Work out treatments and quantities for every zone.

    The plan is not stored: it is worked out from the site and its specification each time. Keep
    what you hand over with lawnmap issue.

    Example: lawnmap plan garden --zone front-west
    """
    from lawnmap.cli import plan_text, working

    _, made = working.planned(talk, site, depot, today)
    made = plan_text.narrowed(made, zone)
    talk.result(plan_text.data(made), plan_text.text(made, why=why or zone is not None))
