"""KMZ: KML in a zip archive, read in memory; with several KML files, each names its layers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lawnmap.errors import InputRefused
from lawnmap.files import xml_text
from lawnmap.files.archive import read_entries
from lawnmap.readers import placemarks
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.found import Found, Layer

TITLE = "KMZ (zipped KML)"
KINDS = ("kmz",)
CHILD = False


@netted
def look(source: Source) -> list[Layer]:
    """List the folders that hold placemarks with a geometry, in every KML file of the archive."""
    return [folder.layer() for document in _documents(source) for folder in document.folders]


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
        For an archive that is not safe, and as the reader of plain KML.
    """
    return placemarks.found(_documents(source), layer, crs)


def _documents(source: Source) -> list[placemarks.Document]:
    entries = read_entries(source.data, name=source.name, wanted=_is_plan)
    if not entries:
        raise InputRefused("holds no KML file", remedy="Make the archive again.")
    _refuse_too_much(entries)
    documents = []
    for entry, data in sorted(entries.items()):
        try:
            document = placemarks.parse(data, name=entry)
        except InputRefused as error:
            error.place = ", ".join(part for part in (entry, error.place) if part)
            error.file = source.name
            raise
        if len(entries) > 1:
            folders = [
                folder._replace(name=f"{entry}/{folder.name}") for folder in document.folders
            ]
            document = document._replace(folders=folders)
        documents.append(document)
    return documents


def _refuse_too_much(entries: dict[str, bytes]) -> None:
    """Hold all files of an archive to the limit of one: all their trees are in memory at once."""
    if len(entries) == 1:
        return  # counted exactly when it is parsed
    starts = sum(data.count(b"<") - data.count(b"</") for data in entries.values())
    values = sum(data.count(b"=") for data in entries.values())
    if max(starts, values) > xml_text.MOST_PARTS:
        raise InputRefused(
            f"holds more than {xml_text.MOST_PARTS:,} elements or attributes in all",
            remedy="Zip the plan alone.",
        )


def _is_plan(entry: str) -> bool:
    """Tell KML files from the twins (``._doc.kml``) that one system's archiver adds."""
    return entry.lower().endswith(".kml") and not entry.rpartition("/")[2].startswith("._")
