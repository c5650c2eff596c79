"""``lawnmap compare``."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.option(
    "--from", "earlier", default="", metavar="SURVEY",
    help="Name of the earlier survey. Otherwise the last one before the later.",
)  # fmt: skip
@click.option(
    "--to", "later", default="now", metavar="SURVEY",
    help="Name of the later survey; now is the site as it stands.",
)  # fmt: skip
@click.option("--chart", type=click.Path(), help="Also draw all surveys as an SVG file.")
@click.option(
    "--applied", is_flag=True,
    help="Instead of surveys, hold the record against the plan that was issued last.",
)  # fmt: skip
@options.FORCE
@options.TODAY
@options.talking
def compare(
    talk: Talk, site: str, earlier: str, later: str, chart: str | None, today: dt.date,
    *, applied: bool, force: bool,
) -> None:  # fmt: skip
    """Tell for each zone whether the work helped, by more than the noise of counting.

    Only moss counted on points and thatch in cores, before and after, can be judged. A survey is
    closed with lawnmap survey.

    Example: lawnmap compare garden
    """
    if applied:
        if earlier or later != "now" or chart:
            raise click.UsageError("--applied compares no surveys: leave --from, --to, --chart out")
        _applied(talk, site)
        return
    from lawnmap.cli import compare_text
    from lawnmap.jobs.compare import compare as job
    from lawnmap.jobs.survey_chart import admit, draw

    target = Path(chart) if chart else None
    if target:
        admit(target)
    reply = job(Path(site), earlier=earlier, later=later)
    talk.warn(*reply.warnings)
    drawn = draw(Path(site), target, later=later, today=today, force=force) if target else ()
    talk.warn(*drawn)
    talk.result(compare_text.data(reply, chart), compare_text.text(reply, chart))


def _applied(talk: Talk, site: str) -> None:
    from lawnmap.cli import applied_text, told
    from lawnmap.jobs.applied import applied

    reply = applied(Path(site))
    data = {"issued": reply.issued_id, "day": reply.day, "rows": told.rows_data(reply.table)}
    talk.result(data, applied_text.text(reply))
