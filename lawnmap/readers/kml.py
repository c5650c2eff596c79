"""KML 2.1 to 2.3: every folder is a layer; nothing a file links to is fetched."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lawnmap.readers import placemarks
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.found import Found, Layer

TITLE = "KML"
KINDS = ("kml",)
CHILD = False


@netted
def look(source: Source) -> list[Layer]:
    """List the folders that hold placemarks with a geometry."""
    document = placemarks.parse(source.data, name=source.name)
    return [folder.layer() for folder in document.folders]


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; KML is always in degrees
) -> Found:
    """Return the placemarks of one folder.

    Raises
    ------
    InputRefused
        With placemark, line, ring and point.
    """
    document = placemarks.parse(source.data, name=source.name)
    return placemarks.found([document], layer, crs)
