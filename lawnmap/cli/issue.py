"""``lawnmap issue``."""

from __future__ import annotations

import datetime as dt

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.option(
    "--to",
    "audience",
    type=click.Choice(["client", "crew", "public", "owner"]),
    required=True,
    help="Who it is for.",
)
@click.argument("name")
@options.UNITS
@options.DEPOT
@options.TODAY
@options.talking
def issue(
    talk: Talk, site: str, audience: str, name: str, units: str, depot: str | None, today: dt.date
) -> None:
    """Hand a plan over: keep its papers and rows as a fact in the site's folder issued.

    NAME is to whom. An issued plan is never changed; issue again to replace it.

    Example: lawnmap issue garden --to client "The owner"
    """
    from lawnmap.cli import working
    from lawnmap.jobs.issue import issue as job
    from lawnmap.jobs.opening import own_folder

    folder = own_folder(site)
    _, plan = working.planned(talk, site, depot, today)
    issued, warnings = job(folder, plan, audience=audience, name=name, units=units)
    talk.warn(*warnings)
    data = {"id": issued.id, "day": issued.day.isoformat(), "path": str(issued.path)}
    talk.result(data, f"Issued {issued.id} to {name}: {issued.path}")
