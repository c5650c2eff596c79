"""``lawnmap survey``."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.option(
    "--day", callback=options.day_or_none, metavar="YYYY-MM-DD",
    help="The day of the survey; today when left out.",
)  # fmt: skip
@click.option(
    "--again", is_flag=True,
    help="Then take off the site what was seen, to count and core afresh. The ground stays.",
)  # fmt: skip
@click.option("--list", "listing", is_flag=True, help="Only list the closed surveys.")
@options.TODAY
@options.talking
def survey(
    talk: Talk, site: str, day: dt.date | None, today: dt.date, *, listing: bool, again: bool
) -> None:
    """Close the survey that is on a site, so that a later one can be compared with it.

    A closed survey is kept in the folder surveys of the site, and never changed.

    Example: lawnmap survey garden --again
    """
    from lawnmap.cli import survey_text
    from lawnmap.jobs import survey as job

    path = Path(site)
    if listing:
        if again or day:
            raise click.UsageError("--list only lists: leave --again and --day out")
        names = [each.name for each in job.listed(path)]
        talk.result({"surveys": names}, survey_text.listed(names))
        return
    reply = None
    if not (again and job.closed(path)):  # closed before, and only to be begun again
        reply = job.survey(path, day=day or today, today=today)
        talk.warn(*reply.warnings)
    begun = None
    if again:
        begun, warnings = job.again(path, day=today)
        talk.warn(*warnings)
    talk.result(survey_text.data(reply, begun), survey_text.text(reply, begun))
