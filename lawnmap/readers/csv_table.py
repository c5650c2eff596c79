"""Text tables: an outline a row as well-known text, or a vertex or a point a row."""

from __future__ import annotations

from pathlib import PurePath
from typing import TYPE_CHECKING, NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.files import csv_text
from lawnmap.files.limits import SITE
from lawnmap.files.numbers import number
from lawnmap.files.utf8 import decode
from lawnmap.found import Layer
from lawnmap.readers import attributes, cells, vertex_rows, wkt
from lawnmap.readers import crs as reference_system
from lawnmap.readers.gathering import Gathering
from lawnmap.readers.layers import choose
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.files.csv_text import Table
    from lawnmap.found import Found
    from lawnmap.readers.cells import Columns

TITLE = "CSV (well-known text or coordinates)"
KINDS = ("csv",)
CHILD = False

MOST_CELLS = 10 * SITE.vertices
WKT = ({"wkt", "geometry", "geom", "the_geom"},)
DEGREES = ({"lon", "lng", "longitude"}, {"lat", "latitude"})
PLANE = ({"x", "easting"}, {"y", "northing"})


class Layout(NamedTuple):
    """Which columns hold the geometry: one of well-known text, or one of x and one of y."""

    names: tuple[set[str], ...]
    columns: tuple[int, ...]


@netted
def look(source: Source) -> list[Layer]:
    """List the one layer that a table is."""
    features = _read(source, None).features
    kinds = sorted({feature.geometry["type"] for feature in features})
    return [Layer(PurePath(source.name).stem, len(features), tuple(kinds))]


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; the CRS has the units
) -> Found:
    """Return the rows of a table as features.

    Raises
    ------
    InputRefused
        For a table that is not sound, or has no geometry in it, with the line.
    """
    if layer is not None:
        choose([Layer(PurePath(source.name).stem, 0)], layer)
    return _read(source, crs)


def _read(source: Source, crs: str | None) -> Found:
    text = decode(source.data, source.name)
    separator, layout = _layout(text)
    table = csv_text.parse(text, separator, most_cells=MOST_CELLS)
    columns = {
        name: cells.column(name, [row[index] for row in table.rows], table.lines)
        for index, name in enumerate(table.header)
        if index not in layout.columns
    }
    if layout.names is WKT:
        return _outlines(table, layout.columns[0], columns, crs)
    return _positions(table, layout, columns, crs)


def _layout(text: str) -> tuple[str, Layout]:
    """Return the separator under which the header names a geometry, and where that stands."""
    found = {}
    for separator in csv_text.SEPARATORS:
        layout = _geometry(csv_text.header(text, separator))
        if layout is not None:
            found[separator] = layout
    if not found:
        raise InputRefused(
            "has no geometry: its first line names neither wkt, nor lon and lat, nor x and y",
            remedy="Name the columns so, and separate them by commas.",
        )
    # One column alone fits every separator: a tab is the one that well-known text has no use for.
    separator = "\t" if "\t" in found else next(iter(found))
    return separator, found[separator]


def _geometry(header: list[str]) -> Layout | None:
    """Return the columns that hold the geometry; well-known text before degrees before metres."""
    plain = [name.casefold() for name in header]
    for names in (WKT, DEGREES, PLANE):
        where = [[i for i, name in enumerate(plain) if name in wanted] for wanted in names]
        twice = [header[index] for each in where if len(each) > 1 for index in each]
        if twice:
            raise InputRefused(
                f"several columns could be the geometry: {', '.join(twice)[:80]}",
                remedy="Keep one, or rename the others.",
            )
        if all(where):
            return Layout(names, tuple(each[0] for each in where))
    return None


def _outlines(table: Table, index: int, columns: Columns, crs: str | None) -> Found:
    """Read an outline a row."""
    system = _srid([row[index] for row in table.rows], table.lines)
    if system is not None:
        system = reference_system.agreed(system, crs)
    lonlat = system is not None and reference_system.is_geographic(system)
    gathering = Gathering(lonlat=lonlat, metres="correct the SRID.")
    for count, (row, line) in enumerate(zip(table.rows, table.lines, strict=True)):
        properties = {name: values[count] for name, values in columns.items()}
        place = attributes.place("line", line, properties)
        try:
            geometries = wkt.parse(row[index]) if row[index].strip() else []
        except ValueError as error:
            raise InputRefused(
                str(error), place=place, remedy="Correct the outline, or save the plan as GeoJSON."
            ) from error
        gathering.add(geometries, properties, place)
    return gathering.found(system)


def _srid(texts: list[str], lines: list[int]) -> str | None:
    """Return the CRS that the outlines name, having checked that all name the same."""
    codes = [wkt.srid(text) for text in texts]
    first = codes[0] if codes else None
    for text, code, line in zip(texts, codes, lines, strict=True):
        if code != first and text.strip():
            raise InputRefused(
                f"has another SRID ({code}) than the first row ({first})",
                place=f"line {line}",
                remedy="Save the plan in one CRS.",
            )
    return None if first is None else reference_system.named(f"EPSG:{first}")


def _positions(table: Table, layout: Layout, columns: Columns, crs: str | None) -> Found:
    """Read a corner or a point a row."""
    lonlat = layout.names is DEGREES
    system = reference_system.agreed(reference_system.LONLAT, crs) if lonlat else None
    gathering = Gathering(lonlat=lonlat, metres="name the columns x and y and give --crs.")
    positions = [
        [_number(row[index], line) for index in layout.columns]
        for row, line in zip(table.rows, table.lines, strict=True)
    ]
    vertex_rows.gather(gathering, positions, columns, table.lines)
    return gathering.found(system)


def _number(cell: str, line: int) -> float:
    try:
        return number(cell)
    except ValueError as error:
        raise InputRefused(str(error), place=f"line {line}", remedy="Correct it.") from error
