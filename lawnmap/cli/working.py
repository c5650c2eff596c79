"""What plan, export, issue and check begin with: the site opened and its plan worked out."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from lawnmap.cli.talk import Talk

if TYPE_CHECKING:
    from lawnmap.jobs.opening import Opened
    from lawnmap.model import Plan, Specification


def opened_with_choices(
    talk: Talk, site: str, depot: str | None, today: dt.date
) -> tuple[Opened, Specification]:
    """Open a site and read its choices."""
    from lawnmap.jobs.choices import choices
    from lawnmap.jobs.opening import open_site

    opened = open_site(site)
    talk.warn(*opened.warnings)
    specification = choices(
        opened,
        depot=Path(depot) if depot else None,
        personal=Path(click.get_app_dir("lawnmap")),
        today=today,
    )
    return opened, specification


def planned(
    talk: Talk,
    site: str,
    depot: str | None,
    today: dt.date,
    *,
    units: str = "",
    prove_seconds: float = 0.0,
    setting_out: bool | None = None,
) -> tuple[Opened, Plan]:
    """Open a site and work out its plan; what is to be noted of it is said in these units."""
    from lawnmap.exports.wording.worded import worded
    from lawnmap.jobs.calendar import calendar
    from lawnmap.jobs.plan import plan
    from lawnmap.store.sunlight import kept

    opened, specification = opened_with_choices(talk, site, depot, today)
    made = plan(
        opened.site,
        specification,
        calendar(opened),
        today=today,
        prove_seconds=prove_seconds,
        sun=kept(opened.folder),
        setting_out=setting_out,
        heard=talk.heard,
    )
    talk.warn(*worded(made, units or specification.choice("units")).warnings)
    if made.zones.empty:
        talk.warn("There is no zone on this site yet: read a site plan into it with lawnmap read.")
    return opened, made
