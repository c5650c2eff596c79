"""``lawnmap issue``."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk

if TYPE_CHECKING:
    from lawnmap.store.issued import Issued


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
    data = {
        "id": issued.id,
        "day": issued.day.isoformat(),
        "path": str(issued.path),
        "papers": issued.papers(),
    }
    talk.result(data, _told(issued, name))


def _told(issued: Issued, name: str) -> str:
    """Return what was issued and which of its files go out: the others hold private notes."""
    of_day = f", plan {issued.number} of that day" if issued.number > 1 else ""
    lines = [f"Issued {issued.id} to {name}{of_day}: {issued.path}"]
    forms: dict[str, list[str]] = {}
    for paper in issued.papers():
        forms.setdefault(paper.partition(".")[0], []).append(paper)
    if forms:
        files = ", ".join(" or ".join(each) for each in forms.values())
        lines.append(f"Send {files}. Keep the folder: inputs.json and plan.json are yours alone.")
    return "\n".join(lines)
