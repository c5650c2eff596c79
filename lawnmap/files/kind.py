"""What a file is, told by its first bytes and never by its name alone."""

from __future__ import annotations

import re
from collections.abc import Collection
from pathlib import PurePath

from lawnmap.errors import InputRefused
from lawnmap.files.archive import entry_names

# Suffixes that promise a kind. A suffix that is not here is left to the content or to a plugin.
PROMISES = {
    ".geojson": "geojson",
    ".json": "geojson",
    ".kml": "kml",
    ".kmz": "kmz",
    ".gpx": "gpx",
    ".csv": "csv",
    ".tsv": "csv",
    ".gpkg": "gpkg",
    ".shp": "shp",
    ".parquet": "parquet",
    ".geoparquet": "parquet",
    ".dxf": "dxf",
    ".png": "png",
    ".jpg": "jpeg",
    ".jpeg": "jpeg",
    ".tif": "tiff",
    ".tiff": "tiff",
    ".pdf": "pdf",
    ".osm": "osm",
    ".fgb": "fgb",
}

MAGIC = (
    (b"SQLite format 3\0", "gpkg"),
    (b"\x00\x00\x27\x0a", "shp"),
    (b"PAR1", "parquet"),
    (b"\x89PNG", "png"),
    (b"\xff\xd8\xff", "jpeg"),
    (b"II*\0", "tiff"),
    (b"MM\0*", "tiff"),
    (b"%PDF", "pdf"),
    (b"fgb\x03fgb", "fgb"),
    (b"AutoCAD Binary DXF\r\n\x1a\0", "dxf"),
    (b"AC10", "dwg"),
)

HINTS = {
    "dwg": ("a DWG drawing", "Save the drawing as DXF, or ask whoever drew it for that."),
    "svg": ("an SVG picture", "Export the drawing as DXF, or as a PNG with control points."),
    "html": ("a web page", "Save the plan itself, not the page about it."),
    "gml": ("a GML file", "Save the plan as GeoJSON or GeoPackage."),
    "xlsx": ("an Excel workbook", "Save the sheet as CSV."),
}

# The root element: past the BOM, an XML declaration, comments and processing instructions. Each of
# these is atomic: else 40 comments without a root would be tried in 2 to the 40 ways.
ROOT = re.compile(
    rb"(?>\s+|<\?.*?\?>|<!--.*?-->|<!DOCTYPE[^>\[]*(?:\[.*?\]\s*)?>)*+<([A-Za-z_][\w.:-]*)",
    re.DOTALL,
)
ROOT_KINDS = {
    "kml": "kml",
    "gpx": "gpx",
    "osm": "osm",
    "svg": "svg",
    "html": "html",
    "featurecollection": "gml",
}
SNIFF = 65_536

# A reply from a shared page: its file, or the same as text somewhere in a mail.
REPLY = re.compile(rb'\{\s*"lawnmap_reply"')
# Without the line above it what is pasted is base64 of the same beginning.
REPLY_IN_TEXT = re.compile(
    rb"(?:BEGIN|END)[\s>|]{1,20}LAWNMAP[\s>|]{1,20}REPLY|eyJsYXdubWFwX3JlcGx5"
)

# A CSV whose first line has these among its columns is a tape survey and no table of shapes.
TAPE = {"measure", "from", "to", "length"}


def kind_of(data: bytes, name: str, also: Collection[str] = ()) -> str:
    """Return the kind of `data`, having checked that it agrees with the suffix of `name`.

    Parameters
    ----------
    data : bytes
        Whole content.
    name : str
        File name; empty for a pipe.
    also : collection of str
        Suffixes without their dot that outside readers are for. Such a file is theirs whatever it
        begins with, unless the suffix is one of ours.

    Raises
    ------
    InputRefused
        When content and suffix disagree, or the kind is one that cannot be read.
    """
    suffix = PurePath(name).suffix.lower()
    if suffix not in PROMISES and suffix.lstrip(".") in also:
        return suffix.lstrip(".")
    found = _from_content(data, name)
    promised = PROMISES.get(suffix)
    if found == "reply" and promised in {None, "geojson"}:
        return found
    if found is None:
        if promised in {None, "csv"} and suffix in {".csv", ".tsv", ".txt", ""}:
            return "tape" if _is_tape_sheet(data) else "csv"
        if promised is None:
            return suffix.lstrip(".")
        raise InputRefused(
            f"is named {suffix} but its content is not that",
            file=name,
            remedy="Export the plan again, or give the file its true suffix.",
        )
    if found in HINTS:
        what, remedy = HINTS[found]
        raise InputRefused(f"is {what}", file=name, remedy=remedy)
    if promised is not None and promised != found:
        raise InputRefused(
            f"is named {suffix} but holds {found}",
            file=name,
            remedy="Give the file its true suffix and read it again.",
        )
    return found


def _is_tape_sheet(data: bytes) -> bool:
    """Tell a tape survey by the names of its columns."""
    head = data[:SNIFF].removeprefix(b"\xef\xbb\xbf").lstrip().split(b"\n", 1)[0]
    names = re.split(r"[,;\t]", head.decode("ascii", "replace"))
    return {name.strip().strip('"').lower() for name in names} >= TAPE


def _from_content(data: bytes, name: str) -> str | None:
    """Return the kind the first bytes tell, or None for plain text of no known kind."""
    for magic, kind in MAGIC:
        if data.startswith(magic):
            return kind
    if data.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return _zip_kind(data, name)
    head = data[:SNIFF].removeprefix(b"\xef\xbb\xbf").lstrip()
    # With its mark, or without: then every plain letter has a NUL beside it.
    if head.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in head[:2]:
        raise InputRefused(
            "is text in UTF-16", file=name, remedy="Save it as UTF-8 and read it again."
        )
    if head.startswith((b"{", b"[")):
        return "reply" if REPLY.match(head) else "geojson"
    if head.startswith(b"<"):
        return _xml_kind(head, name)
    if re.match(rb"(?:999\r?\n[^\n]*\n\s*)*0\r?\nSECTION", head):
        return "dxf"
    return "reply" if REPLY_IN_TEXT.search(data) else None


def _xml_kind(head: bytes, name: str) -> str:
    """Return the kind by the root element; what is not read is refused or hinted at."""
    match = ROOT.match(head)
    root = match.group(1).decode("ascii").rpartition(":")[2].lower() if match else "?"
    if root not in ROOT_KINDS:
        raise InputRefused(
            f"is XML with the root element <{root}>",
            file=name,
            remedy="Save the plan as GeoJSON, KML, GPX or OpenStreetMap XML.",
        )
    return ROOT_KINDS[root]


def _zip_kind(data: bytes, name: str) -> str:
    """Return ``kmz``, ``shp`` or ``xlsx`` by what the archive lists; nothing is unpacked."""
    names = entry_names(data, name=name)
    if "xl/workbook.xml" in names:
        return "xlsx"
    suffixes = {PurePath(entry).suffix.lower() for entry in names}
    if ".kml" in suffixes:
        return "kmz"
    if ".shp" in suffixes:
        return "shp"
    raise InputRefused(
        "is a zip archive without a shapefile or a KML file in it",
        file=name,
        remedy="Zip the .shp with its .shx, .dbf and .prj, or unpack it and give the plan itself.",
    )
