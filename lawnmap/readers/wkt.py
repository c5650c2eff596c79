"""Well-known text (OGC 06-103r4), with the ``SRID=…;`` that databases put before it."""

from __future__ import annotations

import re
from typing import Any

from lawnmap.files.numbers import number

SRID = re.compile(r"^\s*SRID\s*=\s*(\d{1,6})\s*;", re.ASCII | re.IGNORECASE)
PIECE = re.compile(r"[A-Za-z]+|[(),]|[^\s(),]+")
KINDS = {"POINT", "LINESTRING", "POLYGON", "MULTIPOINT", "MULTILINESTRING", "MULTIPOLYGON"}
WORDS = KINDS | {f"{kind}Z" for kind in KINDS} | {"GEOMETRYCOLLECTION", "Z", "EMPTY"}
DEEPEST = 4  # brackets: a MULTIPOLYGON in a GEOMETRYCOLLECTION; the parser below us recurses


def srid(text: str) -> int | None:
    """Return the EPSG code that a well-known text begins with; None for 0, which means unknown."""
    match = SRID.match(text)
    return (int(match[1]) or None) if match else None


def parse(text: str) -> list[dict[str, Any]]:
    """Return the geometries in a well-known text as GeoJSON has them; those of a collection singly.

    Raises
    ------
    ValueError
        With the reason, for what is not well-known text of points, lines or polygons.
    """
    import shapely
    from shapely.geometry import mapping

    body = SRID.sub("", text, count=1)
    _check(body)
    try:
        shape = shapely.from_wkt(body)
    except shapely.errors.ShapelyError as error:
        # The library names its exception first; what follows is for people.
        raise ValueError(f"is not WKT ({str(error).rpartition('Exception: ')[2]})") from error
    members = shape.geoms if isinstance(shape, shapely.GeometryCollection) else [shape]
    if any(part.is_empty for each in members for part in getattr(each, "geoms", ())):
        raise ValueError("has an empty part: leave it out")
    return [dict(mapping(each)) for each in members]


def _check(text: str) -> None:
    """Refuse words, numbers and depths that the parser would take but we do not."""
    depth = collections = 0
    for match in PIECE.finditer(text):
        piece = match[0]
        if piece == "(":
            depth += 1
        elif piece == ")":
            depth -= 1
        elif piece.isalpha():
            if piece.upper() not in WORDS:
                raise ValueError(f"is not WKT that is read: {piece[:40]!r}")
            collections += piece.upper() == "GEOMETRYCOLLECTION"
        elif piece != ",":
            number(piece)
        if depth > DEEPEST or collections > 1:
            raise ValueError("is nested too deep")
