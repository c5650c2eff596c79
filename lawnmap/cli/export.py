"""``lawnmap export``."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


def _there(_: click.Context, __: click.Parameter, names: tuple[str, ...]) -> tuple[str, ...]:
    """Refuse an export that is not there or will not load before a plan is worked out for it."""
    from lawnmap import plugins

    for name in names:
        plugins.load("exports", name)
    return names


@click.command()
@options.SITE
@click.option(
    "--to",
    "names",
    multiple=True,
    required=True,
    callback=_there,
    help="map, summary, quote, sheet, shopping, loading, notice, environment, visit, calendar, "
    "svg, xlsx, csv, gpx, kml, geojson, gpkg.",
)
@options.OUTPUT
@options.FORCE
@options.UNITS
@options.several(options.ON_PAPER)
@options.several(options.ON_MAP)
@options.several(options.AT_SCALE)
@options.SETTING_OUT
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
    setting_out: bool,
    **chosen: Any,
) -> None:
    """Write the plan as a map, a job sheet, tables or GIS files.

    Without -o the files go into the folder exports of the site, and a page has its PDF beside it.
    With -o a name that ends in .pdf gets the PDF alone, and any other the page.

    Example: lawnmap export garden --to map --to sheet
    """
    from lawnmap.cli import working
    from lawnmap.jobs import asked
    from lawnmap.jobs import export as job

    if output and len(names) > 1:
        raise click.UsageError("-o takes one --to")
    opened, plan = working.planned(talk, site, depot, today, setting_out=setting_out or None)
    wanted = asked.Asked(**{each: chosen.pop(each) for each in asked.OPTIONS})
    more, warnings = asked.fields(wanted, opened, plan, names, schematic=chosen["schematic"])
    talk.warn(*warnings, *(f"goes out: {each}" for each in chosen["also"]))
    talk.warn(*job.untranslated(plan, chosen["language"]))
    target = Path(output) if output else None
    files = []
    for to in _one_by_one(talk, names):
        files += job.papers(plan, to, target, **chosen, **asked.shown_by(to, more))
    if output == "-":
        click.echo(files[0].data, nl=False)
        return
    written = [job.write(each, opened.folder, target, force=force) for each in files]
    talk.warn(*(told for _, warnings in written for told in warnings))
    data = [
        {"export": each.to, "audience": each.audience, "path": str(path), "bytes": len(each.data)}
        for each, (path, _) in zip(files, written, strict=True)
    ]
    lines = [
        f"{each.title} for {each.audience}: {path} ({len(each.data) / 1000:,.0f} kB)"
        for each, (path, _) in zip(files, written, strict=True)
    ]
    talk.result(data, "\n".join(lines))


def _one_by_one(talk: Talk, names: tuple[str, ...]) -> Iterator[str]:
    """Yield the exports, and say how far the work is before each."""
    from lawnmap.jobs.stages import reached

    for done, to in enumerate(names):
        talk.heard(*reached("papers", done / len(names)))
        yield to
