"""Which day it is: where the site lies, not where this machine stands and not in UTC."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from zoneinfo import ZoneInfo

from lawnmap.errors import LawnmapError
from lawnmap.files.admit import read_regular
from lawnmap.store import document
from lawnmap.store.folder import SITE, find

NOT_SAID = "UTC"  # what a site has until somebody says where it is


def now() -> dt.datetime:
    """Return this moment."""
    return dt.datetime.now(dt.UTC)


def today(where: Path | str | None) -> dt.date:
    """Return the day it is on a site.

    Parameters
    ----------
    where : path or None
        What a command was given: a site folder or file. Anything else has no zone of its own, and
        neither has a site that cannot be read: what is wrong with it is told when it is opened.

    Returns
    -------
    date
        In the time zone that the site names; where it names none, or one that this machine does
        not know, the day by this machine's own clock.
    """
    return now().astimezone(_zone(where)).date()


def _zone(where: Path | str | None) -> ZoneInfo | None:
    if where is None or str(where) == "-":
        return None
    try:
        header = document.parse(read_regular(find(where).site), name=SITE).get("lawnmap")
        name = str(header.get("timezone", NOT_SAID)) if isinstance(header, dict) else NOT_SAID
        return None if name == NOT_SAID else ZoneInfo(name)
    except (LawnmapError, OSError, LookupError, ValueError):
        return None
