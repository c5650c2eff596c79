"""GeoPackage (OGC 12-128), read by GDAL in the guarded child."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lawnmap.readers import handover, ogr
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.found import Found, Layer

TITLE = "GeoPackage"
KINDS = ("gpkg",)
CHILD = True

DRIVER = "GPKG"


@netted
def look(source: Source) -> list[Layer]:
    """List the feature layers; a count above the limit stands for any larger one."""
    return handover.layers(ogr.ask("layers", {"plan.gpkg": source.data}, driver=DRIVER))


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; here the CRS says it
) -> Found:
    """Return the features of one layer.

    Raises
    ------
    InputRefused
        For a file GDAL cannot read, that takes too long, or that brings GDAL down.
    """
    files = {"plan.gpkg": source.data}
    return handover.unpack(ogr.ask("features", files, driver=DRIVER, layer=layer), crs)
