"""``lawnmap desktop``."""

from __future__ import annotations

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@click.argument("action", type=click.Choice(["install", "remove", "status"]))
@click.option(
    "--profile",
    type=click.Path(),  # as the system has it, whatever letters its locale knows
    default="",
    metavar="NAME|FOLDER",
    help="Profile of the GIS, by its name or its folder; otherwise the one called default, or the "
    "only one. status shows all of them unless one is named.",
)
@click.option(
    "--no-enable",
    is_flag=True,
    help="Of install: do not switch the plugin on; do it in the GIS, under Plugins.",
)
@options.talking
def desktop(talk: Talk, action: str, profile: str, *, no_enable: bool) -> None:
    """Put the plugin for the desktop GIS (QGIS) into your profile, or take it away.

    install copies the plugin of this lawnmap into the profile and switches it on; an older one is
    replaced. remove takes away what install put there and nothing else. status says what is in each
    profile, whether it is switched on, and whether the lawnmap that it starts answers.

    Start the GIS again afterwards.

    Example: lawnmap desktop install
    """
    from lawnmap.cli import desktop_text
    from lawnmap.jobs.desktop import look, profiles, put

    if action == "status":
        meant = [profiles.chosen(profile)] if profile else profiles.found()
        states = [look.look(each) for each in meant]
        talk.result([each.data() for each in states], desktop_text.states(states))
        return
    where = profiles.chosen(profile)
    done = put.install(where, enable=not no_enable) if action == "install" else put.remove(where)
    talk.warn(*done.warnings, *desktop_text.notes(done))
    talk.result(done.data(), desktop_text.done(done))
