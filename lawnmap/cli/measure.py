"""``lawnmap measure``."""

from __future__ import annotations

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@options.UNITS
@options.talking
def measure(talk: Talk, site: str, units: str) -> None:
    """Show the true ground area of each zone.

    SITE is a site folder, the site file in it, or any GeoJSON; - reads standard input.

    Example: lawnmap measure garden
    """
    from lawnmap.cli import told
    from lawnmap.jobs.measure import measure as job
    from lawnmap.jobs.opening import open_site

    opened = open_site(site)
    reply = job(opened.site)
    talk.warn(*opened.warnings, *reply.warnings)
    talk.result(told.zones_data(reply.zones, told.AREAS), told.areas_text(reply.zones, units))
