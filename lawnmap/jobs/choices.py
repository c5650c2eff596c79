"""A site's choices, with the label cards, machines and calibrations of the depot behind them."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

from lawnmap.jobs.opening import Opened
from lawnmap.model import Specification
from lawnmap.processing.machines import generic
from lawnmap.store import calibrations, specification
from lawnmap.store import depot as depots
from lawnmap.store.depot import Depot


def choices(opened: Opened, *, depot: Path | None, personal: Path, today: dt.date) -> Specification:
    """Return the specification for a site.

    Parameters
    ----------
    opened : Opened
        A site without a folder gets the choices of a new one.
    depot : Path or None
        The depot named by the person; else the nearest above the site that holds products.toml.
    personal : Path
        The person's own folder, where a depot is looked for last.
    today : date
        The day the plan is worked out for: approvals and waits count from it.
    """
    where = opened.folder.path if opened.folder else Path()
    folder = depots.find(where, given=depot, personal=personal)
    products, machines = owned(folder, today=today)
    zone_ids = [str(zone_id) for zone_id in opened.site.zones.index]
    if opened.folder:
        made = specification.read(
            opened.folder,
            products=products,
            machines=machines,
            zone_ids=zone_ids,
        )
    else:
        made = specification.parse(b"", products=products, machines=machines)
    return replace(made, choices={**made.choices, "today": today})


def owned(folder: Path | None, *, today: dt.date) -> Depot:
    """Return the label cards of a depot, and its machines as they are calibrated on a day."""
    found = depots.read(folder, machines=generic())
    machines = calibrations.applied(found.machines, calibrations.read(folder), today=today)
    return found._replace(machines=machines)
