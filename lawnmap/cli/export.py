"""``lawnmap export``."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.option(
    "--to",
    "names",
    multiple=True,
    required=True,
    help="map, sheet, quote, notice, environment, visit, gpx, csv, geojson, gpkg.",
)
@options.OUTPUT
@options.FORCE
@click.option("--audience", help="Who it is for: public, client, crew or owner.")
@options.UNITS
@click.option("--schematic", is_flag=True, help="Leave the real position out.")
@click.option(
    "--backdrop",
    is_flag=True,
    help="Show the plan picture under the zones of the map. It is left out otherwise, since a plan "
    "may have a name and an address written on it.",
)
@options.DEPOT
@options.TODAY
@options.talking
def export(
    talk: Talk,
    site: str,
    names: tuple[str, ...],
    output: str | None,
    depot: str | None,
    today: dt.date,
    *,
    force: bool,
    backdrop: bool,
    **paper: Any,
) -> None:
    """Write the plan as a map, a job sheet, tables or GIS files.

    Without -o the files go into the folder exports of the site.

    Example: lawnmap export garden --to map --to sheet
    """
    from lawnmap.cli import working
    from lawnmap.jobs import export as job

    if output and len(names) > 1:
        raise click.UsageError("-o takes one --to")
    opened, plan = working.planned(talk, site, depot, today)
    if backdrop:
        paper["pictures"], warnings = job.backdrops(
            opened.folder, names, schematic=paper["schematic"]
        )
        talk.warn(*warnings)
    files = [job.render(plan, name, **paper) for name in names]
    if output == "-":
        click.echo(files[0].data, nl=False)
        return
    target = Path(output) if output else None
    paths = [str(job.write(each, opened.folder, target, force=force)) for each in files]
    data = [
        {"export": name, "audience": each.audience, "path": path, "bytes": len(each.data)}
        for name, each, path in zip(names, files, paths, strict=True)
    ]
    told = [
        f"{each.title} for {each.audience}: {path} ({len(each.data) / 1000:,.0f} kB)"
        for each, path in zip(files, paths, strict=True)
    ]
    talk.result(data, "\n".join(told))
