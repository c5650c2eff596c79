"""Folders and placemarks of KML (OGC 07-147r2, 12-007r2), for the plain file and the zipped one."""

from __future__ import annotations

from collections import Counter
from pathlib import PurePath
from typing import TYPE_CHECKING, Any, NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.files import xml_text
from lawnmap.found import Found, Layer
from lawnmap.readers import attributes, kml_geometry
from lawnmap.readers import crs as reference_system
from lawnmap.readers.extended_data import Schemas
from lawnmap.readers.gathering import Gathering
from lawnmap.readers.layers import choose

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from lawnmap.files.xml_text import Element

NAMESPACES = {
    "",
    "http://www.opengis.net/kml/2.2",
    "http://www.opengis.net/kml/2.3",
    "http://earth.google.com/kml/2.0",
    "http://earth.google.com/kml/2.1",
    "http://earth.google.com/kml/2.2",
}
CONTAINERS = ("Document", "Folder")
# What a KML file may show that is not an outline we can use.
LEFT_OUT = {"NetworkLink", "GroundOverlay", "ScreenOverlay", "PhotoOverlay", "Tour"}


class Folder(NamedTuple):
    """The placemarks of one folder, and the schemas of the document it is in."""

    name: str
    placemarks: list[Element]
    schemas: Schemas

    def layer(self) -> Layer:
        """Return how this folder is listed before choosing."""
        kinds = [set(kml_geometry.kinds(each)) for each in self.placemarks]
        every = sorted(set().union(*kinds))
        return Layer(self.name, sum(bool(own) for own in kinds), tuple(every))


class Document(NamedTuple):
    """One KML text: its folders that hold placemarks with a geometry, and what else it shows."""

    folders: list[Folder]
    left_out: Counter[str]


def parse(data: bytes, *, name: str) -> Document:
    """Return the folders of a KML text.

    Raises
    ------
    InputRefused
        For text that is not KML, with the line.
    """
    root = xml_text.parse(data, name=name)
    if root.name != "kml" or root.namespace not in NAMESPACES:
        raise InputRefused(
            f"has the root element <{root.name}> of {root.namespace[:60]!r}, which is not KML 2",
            file=name,
            remedy="Save the plan as KML 2.2.",
        )
    schemas = Schemas(root)
    left_out: Counter[str] = Counter()
    grouped: dict[str, list[Element]] = {}
    stem = PurePath(name).stem
    for path, placemark in _walk(root, (), stem, left_out):
        grouped.setdefault(path, []).append(placemark)
    folders = [Folder(path, placemarks, schemas) for path, placemarks in grouped.items()]
    return Document([folder for folder in folders if folder.layer().count], left_out)


def found(documents: Sequence[Document], layer: str | None, crs: str | None) -> Found:
    """Return the features of one folder of the documents of one file.

    Raises
    ------
    InputRefused
        With placemark, line, ring and point.
    """
    folders = [folder for document in documents for folder in document.folders]
    left_out = sum((document.left_out for document in documents), Counter[str]())
    other = ", ".join(f"{count} {name}" for name, count in sorted(left_out.items()))
    if not folders and other:
        raise InputRefused(
            f"holds no outlines, only {other}",
            remedy="Links are not followed: open the plan where it is kept and save its outlines "
            "as KML.",
        )
    chosen = choose([folder.layer() for folder in folders], layer)
    folder = next(each for each in folders if each.name == chosen.name)
    system = reference_system.agreed(reference_system.LONLAT, crs)
    gathering = Gathering(lonlat=True, metres="KML is in degrees only; export the plan again.")
    if other:
        gathering.warn(f"Parts of the file that are no outlines were left out: {other}.")
    for number, placemark in enumerate(folder.placemarks, 1):
        _add(gathering, placemark, number, folder.schemas)
    return gathering.found(system)


def _walk(
    element: Element, path: tuple[str, ...], stem: str, left_out: Counter[str]
) -> Iterator[tuple[str, Element]]:
    """Yield each placemark with the path of its folder; `stem` names those that are in none."""
    unnamed = 0
    documents = len(element.every("Document"))
    for child in element.children:
        if child.namespace == element.namespace and child.name == "Placemark":
            left_out.update(kml_geometry.no_outlines(child))
            yield "/".join(path) or stem, child
        elif child.namespace == element.namespace and child.name in CONTAINERS:
            own = attributes.one_line(child.text_of("name"))
            if child.name == "Document" and element.name == "kml" and documents == 1:
                # The one document is the file itself, not a folder in it.
                yield from _walk(child, path, own or stem, left_out)
                continue
            unnamed += not own
            own = own or f"{child.name.lower()} {unnamed}"
            yield from _walk(child, (*path, own), stem, left_out)
        elif child.name in LEFT_OUT:
            left_out[child.name] += 1


def _add(gathering: Gathering, placemark: Element, number: int, schemas: Schemas) -> None:
    properties: dict[str, Any] = {}
    for key in ("name", "description"):
        if text := placemark.text_of(key):
            properties[key] = text
    place = attributes.place("placemark", number, properties)
    try:
        more = schemas.values(placemark)
        geometries = list(kml_geometry.geometries(placemark))
    except InputRefused as error:
        error.place = ", ".join(part for part in (place, error.place) if part)
        raise
    for key, value in more.items():
        if properties.setdefault(key, value) != value:
            gathering.note(f"The placemark's own {key} was kept, not that of its data", place)
    gathering.add(geometries, properties, place)
