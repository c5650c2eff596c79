"""``lawnmap check``."""

from __future__ import annotations

import datetime as dt

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@click.option("--backups", "show", is_flag=True, help="List earlier states of the site.")
@click.option("--restore", is_flag=True, help="Go back to the newest good backup.")
@click.option("--revision", type=int, help="With --restore: go back to this revision.")
@click.option("--adopt", is_flag=True, help="Take over a site file that another program saved.")
@options.DEPOT
@options.TODAY
@options.talking
def check(
    talk: Talk,
    site: str,
    revision: int | None,
    depot: str | None,
    today: dt.date,
    *,
    show: bool,
    restore: bool,
    adopt: bool,
) -> None:
    """Look a site over: what is wrong, what is missing, and what can be gone back to.

    What people said and agreed to in the replies that were read stands behind that.

    Example: lawnmap check garden
    """
    from lawnmap.cli import told, working
    from lawnmap.jobs import check as job
    from lawnmap.jobs import said
    from lawnmap.jobs.opening import own_folder

    if restore or adopt:
        folder = own_folder(site)
        saved = job.adopt(folder) if adopt else job.restore(folder, revision)
        talk.warn(*saved.warnings)
        talk.result({"revision": saved.site.revision}, f"Saved as revision {saved.site.revision}.")
        return
    if show:
        found = job.backups_of(own_folder(site))
        rows = [[str(each.revision), each.day.isoformat()] for each in found]
        data = [{"revision": each.revision, "day": each.day.isoformat()} for each in found]
        talk.result(data, told.table(["revision", "replaced on"], rows))
        return
    opened, specification = working.opened_with_choices(talk, site, depot, today)
    findings = job.check(opened.site, specification) + job.handed_over(opened.folder)
    words, warnings = said.said(opened.folder)
    talk.warn(*warnings)
    shown = told.findings(findings) + told.said(words)
    talk.result([each.__dict__ for each in (*findings, *words)], shown)
