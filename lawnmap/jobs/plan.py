"""The job ``plan``: from a site and choices to every step, quantity, pack and load."""

from __future__ import annotations

import datetime as dt

from lawnmap import plugins
from lawnmap.jobs.measure import measure
from lawnmap.model import Plan, Site, Specification
from lawnmap.plugins import Treatment
from lawnmap.processing.cautions import cautions
from lawnmap.processing.choose import choose
from lawnmap.processing.loads import loads
from lawnmap.processing.steps import steps
from lawnmap.processing.strips import strips
from lawnmap.processing.totals import totals


def plan(site: Site, specification: Specification, *, today: dt.date) -> Plan:
    """Work out a plan. It is never stored: the same inputs give the same plan again.

    Parameters
    ----------
    site : Site
    specification : Specification
        With the depot's label cards and machines in it; see :func:`lawnmap.jobs.choices.choices`.
    today : date
    """
    measured = measure(site)
    stripped, layers = strips(measured.zones, measured.lawn, site.features, specification)
    zones = choose(stripped, site.features, specification)
    rows = steps(zones, specification, treatments(specification))
    return Plan(
        site=site,
        specification=specification,
        zones=zones,
        steps=rows,
        totals=totals(rows, specification),
        loads=loads(rows, specification),
        cautions=cautions(zones, site.features, rows, specification),
        today=today,
        layers={"lawn": measured.lawn.to_frame("geometry"), **layers},
        warnings=measured.warnings,
    )


def treatments(specification: Specification) -> dict[str, Treatment]:
    """Return the treatment plugins that the site or any zone of it has chosen, by name."""
    chosen = list(specification.choices["operations"])
    for own in specification.by_zone.values():
        chosen += [name for name in own.get("operations", ()) if name not in chosen]
    return {name: plugins.load("treatments", name) for name in chosen}
