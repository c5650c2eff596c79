"""``lawnmap plugins``."""

from __future__ import annotations

import click

from lawnmap import plugins as lookup
from lawnmap.cli import options
from lawnmap.cli.talk import Talk
from lawnmap.errors import LawnmapError, printable


@click.command()
@options.talking
def plugins(talk: Talk) -> None:
    """List readers, treatments, exports, tables and commands, and who brings each.

    Example: lawnmap plugins
    """
    from lawnmap.cli import told

    found = [
        {"group": group, "name": name, "owner": lookup.owner(point), **_title(group, name)}
        for group in lookup.GROUPS
        for name, points in lookup.available(group).items()
        for point in points
    ]
    rows = [[each["group"], each["name"], each["title"], each["owner"]] for each in found]
    table = told.table(["group", "name", "title", "from"], rows)
    problems = dict.fromkeys(each["problem"] for each in found if "problem" in each)
    talk.result(found, "\n".join([table, *([""] if problems else []), *problems]))


def _title(group: str, name: str) -> dict[str, str]:
    """Return what a plugin is called, or what is wrong with it."""
    try:
        plugin = lookup.load(group, name)
    except LawnmapError as error:
        return {"title": "cannot be used: see below", "problem": printable(str(error))}
    if isinstance(plugin, click.Command):
        return {"title": plugin.get_short_help_str(60)}
    return {"title": str(getattr(plugin, "TITLE", name))}
