"""``lawnmap about``."""

from __future__ import annotations

from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@click.option("--paths", is_flag=True, help="List every folder lawnmap uses.")
@options.talking
def about(talk: Talk, *, paths: bool) -> None:
    """Show versions, weak spots, limits and guards.

    A weak spot is a known fault of Python or a library in use: whether it is mended in the version
    here, and what lawnmap does about it in any case.

    Example: lawnmap about --paths
    """
    from lawnmap.cli import about_text
    from lawnmap.jobs import about as job

    versions = job.versions()
    data: dict[str, object] = {
        "versions": versions,
        "limits": job.limits(),
        "guards": job.guards(),
        "weak_spots": job.weaknesses(versions),
    }
    if paths:
        data["folders"] = job.folders(Path(click.get_app_dir("lawnmap")))
    talk.result(data, about_text.text(data))
