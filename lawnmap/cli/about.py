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
    """Show versions, limits and guards.

    Example: lawnmap about --paths
    """
    from lawnmap.cli import told
    from lawnmap.jobs import about as job

    data: dict[str, dict[str, object]] = {
        "versions": dict(job.versions()),
        "limits": dict(job.limits()),
        "guards": dict(job.guards()),
    }
    if paths:
        data["folders"] = dict(job.folders(Path(click.get_app_dir("lawnmap"))))
    rows = [[part, name, str(value)] for part in data for name, value in data[part].items()]
    talk.result(data, told.table(["", "", ""], rows).strip())
