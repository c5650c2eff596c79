"""``lawnmap mark``."""

from __future__ import annotations

import contextlib
import datetime as dt
import webbrowser
from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@options.DEPOT
@options.TODAY
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@options.talking
def mark(talk: Talk, site: str, depot: str | None, today: dt.date, *, no_browser: bool) -> None:
    """Draw zones and say what was seen on them, on a page in your own browser.

    SITE is a site folder. The page is served on this machine only, to whoever has the address that
    is printed, until Ctrl-C or half an hour without a request. Every stroke is kept; the site
    changes when you save.

    Example: lawnmap mark garden
    """
    from lawnmap.cli.log import faults_noted
    from lawnmap.jobs.mark import Marking
    from lawnmap.jobs.opening import own_folder
    from lawnmap.jobs.outlook import Depot
    from lawnmap.store.draft import held
    from lawnmap.web.desk import Desk, assets
    from lawnmap.web.server import Server

    cards = Depot(Path(depot) if depot else None, Path(click.get_app_dir("lawnmap")), today)
    folder = own_folder(site)
    with held(folder) as draft, faults_noted("mark"):
        hold = Marking(folder, draft)
        first = hold.show().site.revision
        desk = Desk(hold, cards)
        server = Server(assets(), desk.looks(), desk.writes())
        click.echo(server.address, err=True)
        talk.warn("Ctrl-C ends it. Every stroke is kept; the site changes when you save.")
        if not no_browser and not webbrowser.open(server.invitation):
            talk.warn("No browser was found: open the address yourself.")
        with contextlib.suppress(KeyboardInterrupt):
            server.serve()
        last = hold.site.revision
    saves = last - first
    data = {"revision": last, "saves": saves, "draft": draft.path.is_file()}
    kept = " What was not saved is kept for the next time." if data["draft"] else ""
    talk.result(data, f"Stopped. The site is at revision {last}.{kept}")
