"""The keys of ``[basemap]``: map tiles of one's own, or of a service that is paid for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.pages.tiles import WANTED, tile_host
from lawnmap.store.keys import Key

BASEMAP = Key(
    "basemap",
    "table",
    means="Map tiles of your own for export --basemap own. Nothing is fetched by lawnmap; whoever "
    "opens the map asks the host of this address, which thereby sees where they look.",
    inside=(
        Key("url", "text", "", means="https, one host, and {z}, {x} and {y} once each."),
        Key("attribution", "text", "", means="Whose map it is, as it has to be said beside it."),
        Key("max_zoom", "whole", 19, 0, 24, means="The closest that it shows."),
    ),
)


def check(basemap: Mapping[str, Any], name: str) -> None:
    """Refuse an address that no page may name, and one that says not whose map it is.

    Raises
    ------
    InputRefused
        With the key.
    """
    if not basemap["url"]:
        return
    try:
        tile_host(basemap["url"])
    except ValueError as error:
        raise InputRefused(
            "is not an address of map tiles",
            file=name,
            place="basemap.url",
            remedy=f"Give {WANTED}.",
        ) from error
    if not basemap["attribution"].strip():
        raise InputRefused(
            "is missing",
            file=name,
            place="basemap.attribution",
            remedy="Say whose map it is, as its terms ask for.",
        )
