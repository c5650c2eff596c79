"""``lawnmap place``."""

from __future__ import annotations

from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.option(
    "--at",
    "points",
    multiple=True,
    metavar="X,Y=LON,LAT",
    help="A control point: metres in the plan, degrees on earth.",
)
@click.option(
    "--sheet",
    type=click.Path(),
    help="CSV of control points: x, y, lon, lat (or east, north), name.",
)
@click.option("--crs", help="CRS of east and north, such as EPSG:27700.")
@click.option("--dry-run", is_flag=True, help="Show the fit and save nothing.")
@options.talking
def place(
    talk: Talk,
    site: str,
    points: tuple[str, ...],
    sheet: str | None,
    crs: str | None,
    *,
    dry_run: bool,
) -> None:
    """Put a site without a place on the earth by two or more control points.

    Example: lawnmap place garden --at 0,0=-1.5501,53.8002 --at 40,0=-1.5495,53.8002
    """
    from lawnmap.cli import agreement_text
    from lawnmap.jobs.control import from_sheet, from_texts
    from lawnmap.jobs.place import place as job

    if bool(sheet) == bool(points):
        raise click.UsageError("give either --sheet or two or more --at")
    control = from_sheet(Path(sheet), crs=crs) if sheet else from_texts(points, crs=crs)
    reply = job(Path(site), control, dry_run=dry_run)
    talk.warn(*reply.warnings)
    talk.result(agreement_text.place_data(reply), agreement_text.place(reply))
