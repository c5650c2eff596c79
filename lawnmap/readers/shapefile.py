"""Shapefile, loose or zipped, read by GDAL in the guarded child.

What the layers are is told by the headers alone (ESRI Shapefile Technical Description, July 1998),
so that listing them needs no child.
"""

from __future__ import annotations

import struct
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from lawnmap.errors import InputRefused
from lawnmap.files.admit import SISTERS
from lawnmap.files.archive import read_entries
from lawnmap.found import Found, Layer
from lawnmap.readers import handover, ogr
from lawnmap.readers.layers import choose
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source

TITLE = "Shapefile (loose or zipped)"
KINDS = ("shp",)
CHILD = True

DRIVER = "ESRI Shapefile"
PARTS = (".shp", *SISTERS["shp"])

HEADER = struct.Struct("<28xII64x")  # bytes 28 and 32: version and shape type, little-endian
TABLE_HEADER = struct.Struct("<4xIHH20x")  # of dBASE III: rows, bytes before them, bytes of one
VERSION = 1000
RECORD_BYTES = 8  # of the index, for each shape
MULTIPATCH = 31  # surfaces in space
# With heights the type is 10 more, with measures 20 more.
KINDS_OF_SHAPE = {1: "Point", 3: "LineString", 5: "Polygon", 8: "MultiPoint"}

Parts = dict[str, bytes]


@netted
def look(source: Source) -> list[Layer]:
    """List the shapefiles: one when loose, each by its path in a zip archive."""
    return [_layer(name, parts) for name, parts in _plans(source).items()]


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; here the CRS says it
) -> Found:
    """Return the features of one shapefile.

    Raises
    ------
    InputRefused
        When a part is missing that it cannot be read without, and as the reader of GeoPackage.
    """
    plans = _plans(source)
    parts = plans[choose([_layer(*plan) for plan in plans.items()], layer).name]
    files = {f"plan{suffix}": parts[suffix] for suffix in PARTS if suffix in parts}
    told = ogr.ask("features", files, driver=DRIVER)
    told["warnings"] += _of_table(parts.get(".dbf"), len(told["features"]))
    if ".prj" in parts and told["crs"] is None:
        told["warnings"].append("The .prj beside it names no CRS that can be used.")
    return handover.unpack(told, crs)


def _of_table(table: bytes | None, shapes: int) -> list[str]:
    """Return what is to be said of the attributes: GDAL passes over what it does not find."""
    if table is None:
        return ["There is no .dbf beside it, so the outlines have no attributes."]
    rows = 0
    if len(table) >= TABLE_HEADER.size:
        stated, head, row = TABLE_HEADER.unpack_from(table)
        rows = min(stated, max(0, len(table) - head) // row) if row else 0
    if rows < shapes:
        return [
            f"The .dbf beside it has whole rows for {rows} of {shapes} shapes: the others have no "
            "attributes."
        ]
    return []


def _plans(source: Source) -> dict[str, Parts]:
    """Return the parts of each shapefile in the source by suffix."""
    if not source.data.startswith(b"PK"):
        return {PurePosixPath(source.name).stem: {".shp": source.data, **source.parts}}
    entries = read_entries(source.data, name=source.name, wanted=_is_part)
    named = {entry: PurePosixPath(entry) for entry in entries}
    return {
        str(plan.with_suffix("")): {
            part.suffix.lower(): entries[other]
            for other, part in named.items()
            if str(part.with_suffix("")).casefold() == str(plan.with_suffix("")).casefold()
        }
        for plan in named.values()
        if plan.suffix.lower() == ".shp"
    }


def _is_part(entry: str) -> bool:
    """Tell shapefile parts from the twins (``._plan.shp``) that one system's archiver adds."""
    path = PurePosixPath(entry)
    return path.suffix.lower() in PARTS and not path.name.startswith("._")


def _layer(name: str, parts: Parts) -> Layer:
    if ".shx" not in parts:
        raise InputRefused(
            "there is no .shx (the index) beside the .shp",
            place=name,
            remedy="Put the .shx into the same folder or archive, or export the plan again.",
        )
    shapes, index = parts[".shp"], parts[".shx"]
    if min(len(shapes), len(index)) < HEADER.size:
        raise InputRefused("is cut short", place=name, remedy="Export the plan again.")
    version, shape = HEADER.unpack_from(shapes)
    if version != VERSION:
        raise InputRefused("is not a shapefile", place=name, remedy="Export the plan again.")
    kind = KINDS_OF_SHAPE.get(shape if shape == MULTIPATCH else shape % 10)
    count = (len(index) - HEADER.size) // RECORD_BYTES
    return Layer(name, count, (kind,) if kind else ())
