"""Renovating lawns on a map: a site plan in; treatments, exact quantities and a map out.

The job in a few lines, on the sample that comes with it::

    import lawnmap

    site = lawnmap.sample(today="2026-09-07")          # or lawnmap.open_site("garden")
    zones = site.zones.pipe(lawnmap.measure, site)     # a plain GeoDataFrame
    plan = lawnmap.plan(site)
    plan.totals                                        # a plain DataFrame
    lawnmap.show(plan)                                 # the map, under the cell

Nothing is imported before it is asked for. ``docs/python.md`` is the page about it.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lawnmap.errors import InputRefused, LawnmapError, Note
    from lawnmap.jobs.ready import Site
    from lawnmap.jobs.stepwise import choose, dates, loads, measure, steps, strips, sun, totals
    from lawnmap.model import Plan
    from lawnmap.notebook.page import Page
    from lawnmap.notebook.plans import export, plan, show
    from lawnmap.notebook.sites import open_site, read, sample, start

__all__ = [
    "InputRefused",
    "LawnmapError",
    "Note",
    "Page",
    "Plan",
    "Site",
    "choose",
    "dates",
    "export",
    "loads",
    "measure",
    "open_site",
    "plan",
    "read",
    "sample",
    "show",
    "start",
    "steps",
    "strips",
    "sun",
    "totals",
]

_WHERE = {
    "lawnmap.errors": ("InputRefused", "LawnmapError", "Note"),
    "lawnmap.jobs.ready": ("Site",),
    "lawnmap.jobs.stepwise": (
        "choose", "dates", "loads", "measure", "steps", "strips", "sun", "totals",
    ),
    "lawnmap.model": ("Plan",),
    "lawnmap.notebook.page": ("Page",),
    "lawnmap.notebook.plans": ("export", "plan", "show"),
    "lawnmap.notebook.sites": ("open_site", "read", "sample", "start"),
}  # fmt: skip


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for (PEP 562)."""
    for module, names in _WHERE.items():
        if name in names:
            return getattr(import_module(module), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    """Return the public names."""
    return __all__
