"""``lawnmap start``."""

from __future__ import annotations

from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@click.argument("folder", type=click.Path())
@click.option("--title", default="", help="Public title of the site; else the folder's name.")
@click.option("--timezone", default="UTC", help="Where the site is, such as Europe/London.")
@click.option("--sample", is_flag=True, help="Put the invented sample site into the folder.")
@options.talking
def start(talk: Talk, folder: str, title: str, timezone: str, *, sample: bool) -> None:
    """Make a new site folder.

    Example: lawnmap start garden --title "Back garden" --timezone Europe/London
    """
    from lawnmap.jobs.start import start as job

    reply = job(Path(folder), title=title, timezone=timezone, sample=sample)
    talk.warn(*reply.warnings)
    data = {"folder": folder, "title": reply.site.title, "files": list(reply.written)}
    zones = len(reply.site.zones)
    text = (
        f"Made {folder} with {', '.join(reply.written)} ({zones} zones).\n"
        + ("Next: " if zones else "Next: lawnmap read PLAN --into " + folder + ", then ")
        + f"lawnmap plan {folder}"
    )
    talk.result(data, text)
