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
@click.option("--layer", help="Layer, folder or track to read.")
@click.option("--crs", help="CRS of a file that does not say, such as EPSG:27700; or local.")
@click.option("--units", help="Unit of a local plan: m, cm, mm, ft, in or yd.")
@click.option("--as", "kind", help="What the features are, when the file does not say.")
@click.option("--repair", is_flag=True, help="Mend outlines that cross themselves, and say how.")
@click.option("--skip-bad", is_flag=True, help="Leave bad features out, and say which.")
@click.option("--dry-run", is_flag=True, help="Show what would change and save nothing.")
@options.talking
def read(talk: Talk, source: str, into: str | None, *, dry_run: bool, **choices: Any) -> None:
    """Read a site plan into a site.

    SOURCE is a GeoJSON, KML, KMZ, GPX, CSV, GeoPackage, shapefile (loose or zipped) or GeoParquet
    file, or - for standard input. Without --into the zones are printed as GeoJSON.

    Example: lawnmap read plan.gpkg --layer lawns --into garden
    """
    from lawnmap.cli import told
    from lawnmap.jobs.read import Reading
    from lawnmap.jobs.read import read as job

    reply = job(
        source,
        Reading(**choices),
        into=Path(into) if into else None,
        dry_run=dry_run,
    )
    talk.warn(*reply.warnings)
    if into is None and not talk.json and not dry_run:
        talk.result(None, told.geojson(reply.site))
        return
    talk.result(told.reading_data(reply), told.reading(reply, dry_run=dry_run))
