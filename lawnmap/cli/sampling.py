"""``lawnmap sampling``."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.option(
    "--zone", "zones", multiple=True, metavar="ZONE", help="Only this zone; may be repeated."
)
@click.option(
    "--within", type=click.FloatRange(0, min_open=True), metavar="MM",
    help="Find the mean thatch within ± so many mm; without it a first look at 3 to 5 plugs.",
)  # fmt: skip
@click.option(
    "--level", type=click.FloatRange(50, 99.9), default=95.0, metavar="PERCENT",
    help="How sure to be; 95 when left out.",
)  # fmt: skip
@click.option(
    "--spread", type=click.FloatRange(0, min_open=True), metavar="MM",
    help="Standard deviation to reckon with; otherwise that of a zone's own cores.",
)  # fmt: skip
@click.option(
    "--layout", type=click.Choice(["w", "chance"]),
    help="Along a W, or by chance in equal parts, as --within asks for and then does by itself.",
)  # fmt: skip
@click.option(
    "--apart", type=click.FloatRange(0), metavar="M", help="Least distance of two places."
)
@click.option("--seed", type=click.IntRange(0), default=0, help="Another number, other chance.")
@options.OUTPUT
@options.FORCE
@options.DEPOT
@options.TODAY
@options.talking
def sampling(
    talk: Talk, site: str, zones: tuple[str, ...], within: float | None, level: float,
    spread: float | None, layout: str | None, apart: float | None, seed: int,
    output: str | None, depot: str | None, today: dt.date, *, force: bool,
) -> None:  # fmt: skip
    """Tell how many cores to take, where, and what those taken can say.

    Each is a plug, looked at and put back. With -o the places are written as GPX for a phone.

    Example: lawnmap sampling garden -o cores.gpx
    """
    from lawnmap.cli import sampling_text as said
    from lawnmap.cli.working import opened_with_choices
    from lawnmap.files.alone import put
    from lawnmap.jobs import sampling as job
    from lawnmap.processing.surveying.core_places import Layout
    from lawnmap.processing.surveying.sampling import Asked

    opened, specification = opened_with_choices(talk, site, depot, today)
    kind = layout or ("chance" if within else "w")
    reply = job.sampling_of(
        opened.site,
        specification,
        Asked(within, level / 100, spread),
        Layout(kind, apart, seed),
        zones,
    )
    if output == "-":
        click.echo(job.waypoints(reply), nl=False)
        return
    if output:
        talk.warn(*put(Path(output), job.waypoints(reply), force=force))
    talk.result(said.data(reply), said.text(reply, output))
