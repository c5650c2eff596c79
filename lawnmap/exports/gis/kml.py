"""Zones, features and places for cores for a phone or a globe (KML, OGC 12-007r2)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from xml.etree import ElementTree as ET

import shapely

from lawnmap.exports.drawing import symbols, themes
from lawnmap.exports.gis.tables import refuse_without_place, table
from lawnmap.exports.parts.front import title
from lawnmap.exports.wording import step_text, zone_text
from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.pages.escape import clean, escape
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import DONE

TITLE = "zones and places for a phone or a globe (KML)"
SUFFIX = ".kml"
AUDIENCE = "crew"

SPACE = "http://www.opengis.net/kml/2.2"
DECIMALS = 8  # of a degree: 1 mm on the ground
VEIL = 0.7  # opacity of a zone: what lies below may be seen
OUTLINE = "#24302a"
UNKNOWN = "none"  # name of the style of a zone without a class
CORES = "core_places"

Row = Mapping[str, Any]


def render(paper: Paper) -> bytes:
    """Return the document: a folder of zones by moss class, one of each kind of feature, and cores.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience.

    Returns
    -------
    bytes
        UTF-8. What a program shows as HTML (``description``) holds escaped text, everything else
        plain text; facts stand beside it as data. The same paper gives the same bytes.

    Raises
    ------
    InputRefused
        For a schematic, or a site without a place on the earth.
    """
    refuse_without_place(paper)
    root = ET.Element("kml", {"xmlns": SPACE})
    document = ET.SubElement(root, "Document")
    _word(document, "name", title(paper))
    kinds = dict.fromkeys(text(each) for each in paper.plan.site.features["feature"])
    _zone_styles(document)
    for kind in [*kinds, CORES]:
        look = symbols.look(kind)
        _style(document, kind, look.stroke, look.width, look.fill, look.veil)
    _zones(_folder(document, word("title.zones")), paper)
    rows = records(table(paper, "features"))
    for kind in kinds:
        here = _folder(document, known("feature", kind))
        _features(here, kind, (row for row in rows if row["feature"] == kind))
    cores = paper.plan.layers.get(CORES)
    if cores is not None and len(cores):
        _cores(_folder(document, word("layer.core_places")), records(cores))
    ET.indent(root)
    data: bytes = ET.tostring(root, encoding="UTF-8", xml_declaration=True)
    return data + b"\n"


def _zones(folder: ET.Element, paper: Paper) -> None:
    zones = paper.plan.zones
    classes = next((t.classes for t in themes.themes(zones) if t.name == "moss"), [-1] * len(zones))
    steps = step_text.steps(paper.plan.steps, paper.units)
    facts = {str(row["zone_id"]): row for row in records(table(paper, "zones"))}
    for number, ((zone_id, row), place) in enumerate(
        zip(zone_rows(zones), classes, strict=True), start=1
    ):
        placemark = _placemark(folder, zone_text.name(row, zone_id), f"moss-{_class(place)}")
        lines = _lines(row, steps.get(zone_id, []))
        _about(placemark, [word("kml.number", number=number), *lines])
        _data(placemark, facts[zone_id])
        _shape(placemark, zones.geometry[zone_id])


def _lines(row: Row, steps: list[step_text.Step]) -> Iterator[str]:
    """Yield what is to be known of a zone at a glance: verdict, findings, days."""
    found = [zone_text.verdict(row), *zone_text.found(row, "metric")]
    yield from (f"{line.label}: {line.text}" for line in found if line.text)
    for step in step_text.working(steps):
        if step.day and step.status != DONE:
            yield word("kml.step", operation=step.title, day=step.day)
    yield text(row.get("public_note"))


def _features(folder: ET.Element, kind: str, rows: Iterable[Row]) -> None:
    for row in rows:
        placemark = _placemark(folder, text(row.get("name")) or known("feature", kind), kind)
        _about(placemark, [text(row.get("public_note"))])
        _data(placemark, row)
        _shape(placemark, row["geometry"])


def _cores(folder: ET.Element, rows: Iterable[Row]) -> None:
    for row in rows:
        name = word("gpx.core", zone=text(row.get("zone_id")), number=row.get("number", ""))
        _shape(_placemark(folder, name, CORES), row["geometry"])


def _folder(parent: ET.Element, name: str) -> ET.Element:
    folder = ET.SubElement(parent, "Folder")
    _word(folder, "name", name)
    return folder


def _placemark(folder: ET.Element, name: str, style: str) -> ET.Element:
    placemark = ET.SubElement(folder, "Placemark")
    _word(placemark, "name", name)
    _word(placemark, "styleUrl", f"#{style}")
    return placemark


def _word(parent: ET.Element, tag: str, said: object) -> None:
    ET.SubElement(parent, tag).text = clean(str(said))


def _about(placemark: ET.Element, lines: Iterable[str]) -> None:
    """Add a description, which programs show as HTML and in which they fill in ``$[name]``."""
    shown = [escape(line).replace("$[", "&#36;[") for line in lines if line]
    if shown:
        _word(placemark, "description", "<br>".join(shown))
        placemark.insert(1, placemark[-1])  # the schema wants it before the style
        del placemark[-1]


def _data(placemark: ET.Element, row: Row) -> None:
    """Add what is known, by the names of the columns."""
    data = ET.SubElement(placemark, "ExtendedData")
    for name, cell in row.items():
        if name not in {"name", "geometry"} and not missing(cell):
            shown = f"{cell:g}" if isinstance(cell, float) and math.isfinite(cell) else cell
            _word(ET.SubElement(data, "Data", {"name": name}), "value", shown)


def _shape(placemark: ET.Element, shape: shapely.Geometry) -> None:
    parts = shapely.get_parts(shapely.orient_polygons(shape))
    home = placemark if len(parts) == 1 else ET.SubElement(placemark, "MultiGeometry")
    for part in parts:
        if part.geom_type == "Polygon":
            polygon = ET.SubElement(home, "Polygon")
            for name, ring in (
                ("outerBoundaryIs", part.exterior),
                *(("innerBoundaryIs", each) for each in part.interiors),
            ):
                _line(ET.SubElement(polygon, name), "LinearRing", ring)
        else:
            _line(home, part.geom_type, part)


def _line(parent: ET.Element, tag: str, line: shapely.Geometry) -> None:
    at = shapely.get_coordinates(line)
    pairs = " ".join(f"{x:.{DECIMALS}f},{y:.{DECIMALS}f}" for x, y in at)
    ET.SubElement(ET.SubElement(parent, tag), "coordinates").text = pairs


def _zone_styles(document: ET.Element) -> None:
    colours = [*enumerate(themes.PALETTES["moss"]), (-1, themes.UNKNOWN)]
    for place, colour in colours:
        _style(document, f"moss-{_class(place)}", OUTLINE, 1.5, colour, VEIL)


def _class(place: int) -> str:
    return str(place) if place >= 0 else UNKNOWN


def _style(  # noqa: PLR0917 - one style in its parts
    document: ET.Element, name: str, stroke: str, width: float, fill: str, opacity: float
) -> None:
    style = ET.SubElement(document, "Style", {"id": name})
    line = ET.SubElement(style, "LineStyle")
    _word(line, "color", _colour(stroke, 1.0))
    _word(line, "width", width)
    area = ET.SubElement(style, "PolyStyle")
    if fill:
        _word(area, "color", _colour(fill, opacity))
    else:
        _word(area, "fill", 0)


def _colour(colour: str, opacity: float) -> str:
    """Return ``#rrggbb`` as KML has it: opacity, blue, green, red."""
    red, green, blue = colour[1:3], colour[3:5], colour[5:7]
    return f"{round(opacity * 255):02x}{blue}{green}{red}"
