"""``lawnmap sun``."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.option(
    "--from", "first", callback=options.day_or_none, metavar="YYYY-MM-DD",
    help="First day; the growing season when left out (April to September north of the equator).",
)  # fmt: skip
@click.option(
    "--to", "last", callback=options.day_or_none, metavar="YYYY-MM-DD",
    help="Last day; the first one alone when left out.",
)  # fmt: skip
@click.option(
    "--step", type=click.FloatRange(0.1, 50), metavar="METRES",
    help="From a point of the grid to the next; 0.5, or more for much lawn, when left out.",
)  # fmt: skip
@click.option("--suggest", is_flag=True, help="Propose where to cut zones along the shade.")
@click.option(
    "--under", type=click.FloatRange(0.1, 24), metavar="HOURS",
    help="Below how many hours is shade; 4 when left out.",
)  # fmt: skip
@click.option("--split", is_flag=True, help="Cut the zones as proposed and save the site.")
@options.OUTPUT
@click.option(
    "--crs", default="", help="Of the points of -o; longitude and latitude when left out."
)
@options.FORCE
@options.TODAY
@options.talking
def sun(
    talk: Talk, site: str, first: dt.date | None, last: dt.date | None, step: float | None,
    under: float | None, output: str | None, crs: str, today: dt.date,
    *, suggest: bool, split: bool, force: bool,
) -> None:  # fmt: skip
    """Work out the hours of direct sun a day in every zone.

    From trees, hedges, fences and buildings with a height, under a clear sky. The plan then uses
    them for zones whose sun nobody saw. -o writes every point as CSV.

    Example: lawnmap sun garden --suggest
    """
    from lawnmap.cli import sun_text
    from lawnmap.jobs.opening import open_site
    from lawnmap.jobs.shade import cut, shade
    from lawnmap.jobs.sun import Asked
    from lawnmap.jobs.sun import sun as job
    from lawnmap.jobs.sun_points import write

    opened = open_site(site)
    reply = job(opened, Asked(today, first, last, step))
    talk.warn(*opened.warnings, *reply.warnings)
    parts = shade(opened.site, reply, under) if suggest or split or under else None
    saved = cut(Path(site), parts, today) if split and parts else None
    talk.warn(*(saved.warnings if saved else ()))
    if output:
        target = None if output == "-" else Path(output)
        talk.warn(*write(reply.sunlight, opened.site, target, force=force, crs=crs))
    if output != "-":
        talk.result(sun_text.data(reply, parts, saved), sun_text.text(reply, parts, saved))
