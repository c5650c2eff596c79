"""A map from outside behind the zones: only where it was asked for, and then it is said."""

from __future__ import annotations

from typing import Any

from lawnmap.pages.escape import Html, said, tag
from lawnmap.pages.tiles import tile_host
from lawnmap.pages.words import word
from lawnmap.paper import Paper


def basemap_block(paper: Paper) -> dict[str, Any]:
    """Return what the map's script needs to show tiles, under ``basemap``; empty without them."""
    basemap = paper.basemap
    if basemap is None:
        return {}
    return {
        "basemap": {
            "url": basemap.url,
            "attribution": basemap.attribution,
            "max_zoom": basemap.max_zoom,
            "label": word("basemap.label"),
        }
    }


def note(paper: Paper) -> Html:
    """Return who is asked for tiles and thereby sees where the reader looks, and whose map it is.

    Raises
    ------
    ValueError
        When the address is none that a page may name.
    """
    basemap = paper.basemap
    if basemap is None:
        return Html()
    told = word("basemap.note", host=tile_host(basemap.url))
    return tag("p", told, " ", said(basemap.attribution), class_="note basemap")


def asked(paper: Paper) -> str:
    """Return the one host that the page may ask for pictures; empty on a page that asks nobody."""
    return tile_host(paper.basemap.url) if paper.basemap else ""
