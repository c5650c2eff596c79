"""``lawnmap read``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@click.argument("source", type=click.Path())
@options.INTO
@click.option(
    "--layer",
    "layers",
    multiple=True,
    metavar="NAME[=KIND]",
    help="Layer, folder, track or page to read, and what its features are; * for all.",
)
@click.option("--layers", "listing", is_flag=True, help="List the layers and stop.")
@click.option(
    "--crs",
    help="CRS of a file that does not say, such as EPSG:27700; local; or picture:NAME for columns "
    "and rows of a plan picture of the site.",
)
@click.option("--units", help="Unit of a plan that does not say: m, cm, mm, ft, in or yd.")
@click.option(
    "--control",
    type=click.Path(path_type=Path),
    help="CSV of places known in the plan and on the earth: x, y, lon, lat, name.",
)
@click.option(
    "--fit",
    type=click.Choice(["similarity", "affine"]),
    default="similarity",
    help="What is fitted to them: turn, scale and shift, or also skew (for paper that stretched).",
)
@click.option("--as", "kind", help="What the features are, when the file does not say.")
@click.option("--repair", is_flag=True, help="Mend outlines that cross themselves, and say how.")
@click.option("--skip-bad", is_flag=True, help="Leave bad features out, and say which.")
@click.option("--dry-run", is_flag=True, help="Show what would change and save nothing.")
@click.option(
    "--preview",
    type=click.Path(path_type=Path),
    metavar="FILE.png",
    help="Draw what was found; an earlier preview there is replaced.",
)
@click.option(
    "--take",
    type=click.Choice(["theirs", "mine"]),
    help="Of a reply: whose word holds where it and the site both changed a fact.",
)
@options.TODAY
@options.talking
def read(
    talk: Talk, source: str, into: str | None, *, listing: bool, dry_run: bool, **choices: Any
) -> None:
    """Read a site plan into a site.

    SOURCE is GeoJSON, KML, KMZ, GPX, CSV, GeoPackage, shapefile, GeoParquet, FlatGeobuf,
    OpenStreetMap XML, DXF, a tape survey, a picture (PNG, JPEG, TIFF) or a PDF page; - for standard
    input. Without --into the zones are printed as GeoJSON. A reply saved on a visit page or a
    shared map, or its text out of a mail, is merged into the site field by field.

    Example: lawnmap read plan.dxf --layer LAWN=zone --layer BEDS=bed --into garden
    """
    from lawnmap.cli import reading_text, reply_text
    from lawnmap.jobs.layers import layers as list_layers
    from lawnmap.jobs.read import read as job
    from lawnmap.jobs.reading import Reading, source_of

    if listing:
        if choices["preview"]:
            raise click.UsageError("--layers only lists: leave --preview out")
        found = list_layers(source)
        talk.result(reading_text.layers_data(found), reading_text.layers(found))
        return
    admitted, home = source_of(source), Path(into) if into else None
    if admitted.kind == "reply":
        reply_text.tell(talk, admitted, home, choices, dry_run=dry_run)
        return
    today = choices.pop("today")
    if choices.pop("take"):
        raise click.UsageError("--take is for a reply from a shared page")
    preview = choices.pop("preview")
    given = Reading(**choices)
    reply = job(admitted, given, into=home, dry_run=dry_run, preview=preview, today=today)
    talk.warn(*reply.warnings, *([f"Drawn: {preview}."] if preview else []))
    if into is None and not talk.json and not dry_run and reply.site.document["features"]:
        talk.result(None, reading_text.geojson(reply.site))
        return
    talk.result(reading_text.data(reply), reading_text.text(reply, dry_run=dry_run))
