"""``lawnmap assess``."""

from __future__ import annotations

from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.option("--zone", "zones", multiple=True, help="Zone to assess; may be given several times.")
@click.option("--set", "pairs", multiple=True, metavar="COLUMN=VALUE", help="What was seen there.")
@click.option("--sheet", type=click.Path(), help="CSV with zone_id and a column for each fact.")
@click.option("--dry-run", is_flag=True, help="Check and save nothing.")
@options.talking
def assess(
    talk: Talk,
    site: str,
    zones: tuple[str, ...],
    pairs: tuple[str, ...],
    sheet: str | None,
    *,
    dry_run: bool,
) -> None:
    """Put what was seen on the ground on its zones: moss, thatch, shade, drainage.

    An empty VALUE takes a fact away. The columns are listed in docs/columns.md.

    Example: lawnmap assess garden --zone front --set moss_rating=3 --set thatch_mm=14
    """
    from lawnmap.cli import told
    from lawnmap.jobs.assess import assess as job
    from lawnmap.jobs.assess import from_pairs, from_sheet

    if bool(sheet) == bool(zones and pairs):
        raise click.UsageError("give either --sheet, or --zone with --set")
    facts = from_sheet(Path(sheet)) if sheet else from_pairs(zones, pairs)
    reply = job(Path(site), facts, sheet=Path(sheet).name if sheet else "", dry_run=dry_run)
    talk.warn(*reply.warnings)
    text = told.changed(reply.changed, reply.site, saved=reply.saved, dry_run=dry_run)
    talk.result({"changed": list(reply.changed), "saved": reply.saved}, text)
