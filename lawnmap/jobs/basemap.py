"""The map from outside that was asked for by name: one of the table, or one's own."""

from __future__ import annotations

from lawnmap.errors import InputRefused
from lawnmap.model import Plan
from lawnmap.pages.tiles import tile_host
from lawnmap.paper import Basemap
from lawnmap.reference.basemaps import services

OWN = "own"
NO = "Leave one of the two out."


def basemap(plan: Plan, name: str, *, schematic: bool) -> tuple[Basemap, str]:
    """Return the tiles to lie behind the zones, and what must be known of them.

    Raises
    ------
    InputRefused
        For a name that is not known, a map that must not tell where it is, or one that cannot.
    """
    if schematic:
        raise InputRefused(
            "a map behind the zones tells the place --schematic leaves out", remedy=NO
        )
    if not plan.site.placed:
        raise InputRefused(
            "the site has no place on the earth, so no map fits behind it",
            remedy="Place it with lawnmap place, or leave --basemap out.",
        )
    if name == OWN:
        found = _own(plan)
        return found, _told(found, "as your specification has it")
    if name not in services():
        raise InputRefused(
            f"there is no basemap {name!r}",
            remedy=f"There are: {', '.join(services())}, and own, for which the specification has "
            "a table [basemap].",
        )
    service = services()[name]
    found = Basemap(service.url, service.attribution, service.max_zoom)
    terms = (
        f"{service.terms}; address and terms {service.standing}: read them before you hand it on"
    )
    return found, _told(found, terms)


def _own(plan: Plan) -> Basemap:
    chosen = plan.specification.choice("basemap") or {}
    if not chosen.get("url"):
        raise InputRefused(
            "the specification has no basemap of your own",
            remedy="Give url and attribution under [basemap] in specification.toml.",
        )
    return Basemap(chosen["url"], chosen["attribution"], chosen["max_zoom"])


def _told(found: Basemap, terms: str) -> str:
    host = tile_host(found.url)
    return f"Whoever opens the map asks {host} for tiles: it sees where they look. Terms: {terms}."
