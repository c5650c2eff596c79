"""FlatGeobuf (version 3 of its specification), read by GDAL in the guarded child."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lawnmap.readers import handover, ogr
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.found import Found, Layer

TITLE = "FlatGeobuf"
KINDS = ("fgb",)
CHILD = True

DRIVER = "FlatGeobuf"


@netted
def look(source: Source) -> list[Layer]:
    """List the one layer that such a file has."""
    return handover.layers(ogr.ask("layers", {"plan.fgb": source.data}, driver=DRIVER))


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; here the CRS says it
) -> Found:
    """Return the features, in the order of the file, which an index changes.

    Raises
    ------
    InputRefused
        For a file GDAL cannot read, that takes too long, or that brings GDAL down.
    """
    files = {"plan.fgb": source.data}
    return handover.unpack(ogr.ask("features", files, driver=DRIVER, layer=layer), crs)
