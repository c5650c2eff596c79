"""One layer of a drawing as plain JSON, with all that a person should know of it.

Runs inside the guarded child.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry import mapping

from lawnmap.errors import InputRefused
from lawnmap.found import Layer
from lawnmap.readers.dxf import contents as dxf_contents
from lawnmap.readers.dxf import geodata as dxf_geodata
from lawnmap.readers.dxf import texts as dxf_texts
from lawnmap.readers.dxf import units as dxf_units
from lawnmap.readers.dxf import words as dxf_words
from lawnmap.readers.dxf.contents import Contents, outlines
from lawnmap.readers.dxf.geodata import GeoPlace
from lawnmap.readers.dxf.pieces import Piece
from lawnmap.readers.layers import choose

MOST_TOLD = 5


def layers(file: str) -> list[list[Any]]:
    """Return name, count, kinds and area [m²] (None without a unit) of each layer."""
    contents = dxf_contents.read(file, None)
    return [
        [name, len(pieces), list(_kinds(pieces)), _area(pieces, contents.unit_m)]
        for name, pieces in contents.layers.items()
    ]


def features(file: str, layer: str | None, said_m: float | None) -> dict[str, Any]:
    """Return the features of one layer.

    Parameters
    ----------
    file : str
    layer : str or None
        Its name; may be left out when there is one only.
    said_m : float or None
        Metres to a unit, as the person says.

    Returns
    -------
    dict
        ``features`` (geometry, properties, place), ``crs``, ``unit_m``, ``warnings``.

    Raises
    ------
    InputRefused
        When the unit is in doubt and nobody has said it.
    LayerNeeded
        When there are several layers and none was chosen.
    """
    contents = dxf_contents.read(file, said_m)
    if not contents.layers:
        besides = " ".join(contents.notes.sentences(""))
        raise InputRefused(
            f"holds no outlines, lines or points that are to be seen. {besides}".strip(),
            remedy="Ask for a drawing with the lawns as closed outlines, on layers that are on.",
        )
    found = [
        Layer(name, len(pieces), area_m2=_area(pieces, contents.unit_m))
        for name, pieces in contents.layers.items()
    ]
    name = choose(found, layer).name
    place, remark = (None, "") if said_m else _geo_place(contents)
    if place is None:
        _settle_unit(contents, said_m)
    unit_m = said_m or contents.unit_m
    pieces, holding = _inner_first(contents.layers[name])
    names, remarks = _named(contents, pieces)
    warnings = [
        *dxf_words.about_unit(contents, said_m),
        *([remark] if remark else []),
        *contents.notes.sentences(name),
        *dxf_words.about_doubles(contents, name),
        *dxf_words.about_gaps(contents.gaps[name], unit_m, name),
        *holding,
        *remarks,
    ]
    return {
        "features": [
            [_geometry(piece, place), _properties(piece, called), piece.place]
            for piece, called in zip(pieces, names, strict=True)
        ],
        "crs": place.crs if place else None,
        "unit_m": None if place else unit_m,
        "warnings": warnings,
    }


def _geo_place(contents: Contents) -> tuple[GeoPlace | None, str]:
    every = [piece.shape for pieces in contents.layers.values() for piece in pieces]
    west, south, east, north = shapely.total_bounds(every).tolist()
    return dxf_geodata.place_of(contents.document, ((west + east) / 2, (south + north) / 2))


def _settle_unit(contents: Contents, said_m: float | None) -> None:
    """Ask for the unit when it is in doubt and nobody has said it."""
    every = [piece for pieces in contents.layers.values() for piece in outlines(pieces)]
    largest = max((piece.shape.area for piece in every), default=0.0)
    problem = dxf_units.doubt(contents.unit_m, contents.size, largest)
    if problem and said_m is None:
        hint = contents.document.header.get("$MEASUREMENT", None)
        raise dxf_units.question(problem, contents.size, hint)


def _inner_first(pieces: Sequence[Piece]) -> tuple[list[Piece], list[str]]:
    """Return the pieces, those last that others lie in: shared ground counts in the first."""
    places = [n for n, piece in enumerate(pieces) if isinstance(piece.shape, shapely.Polygon)]
    if not places:
        return list(pieces), []
    shapes: Any = np.array([pieces[n].shape for n in places], dtype=object)
    starts: Any = shapely.points([shape.exterior.coords[0][:2] for shape in shapes])
    inner, outer = shapely.STRtree(shapes).query(starts, predicate="within")
    area = shapely.area(shapes)
    outer = outer[area[outer] > area[inner]]
    holding = [places[n] for n in sorted(set(outer.tolist()), key=lambda n: (area[n], n))]
    last = set(holding)
    rest = [piece for n, piece in enumerate(pieces) if n not in last]
    said = [
        f"{pieces[n].place} holds other outlines of its layer: ground they share is counted once."
        for n in holding[:MOST_TOLD]
    ]
    return [*rest, *(pieces[n] for n in holding)], said


def _named(contents: Contents, pieces: Sequence[Piece]) -> tuple[list[str], list[str]]:
    """Return a name for each piece ("" for none), and what else is written in it."""
    others = [piece for each in contents.layers.values() for piece in outlines(each)]
    names, more = dxf_texts.name_all([piece.shape for piece in others], contents.texts)
    known = {id(piece): n for n, piece in enumerate(others)}
    called = [names[known[id(piece)]] if id(piece) in known else "" for piece in pieces]
    besides = [more[known[id(piece)]] if id(piece) in known else [] for piece in pieces]
    said = [
        f'{piece.place} is called "{name}"; also written in it: {", ".join(words[:MOST_TOLD])}.'
        for piece, name, words in zip(pieces, called, besides, strict=True)
        if words
    ]
    return called, said


def _kinds(pieces: Sequence[Piece]) -> dict[str, None]:
    return dict.fromkeys(piece.shape.geom_type for piece in pieces)


def _area(pieces: Sequence[Piece], unit_m: float | None) -> float | None:
    if unit_m is None or not outlines(pieces):
        return None
    return float(sum(piece.shape.area for piece in pieces)) * unit_m**2


def _geometry(piece: Piece, place: GeoPlace | None) -> dict[str, Any]:
    shape = piece.shape
    if place is not None:
        steps, shift = place.matrix[:2, :2], place.matrix[3, :2]
        shape = shapely.transform(shape, lambda xy: xy @ steps + shift)
    return dict(mapping(shape))


def _properties(piece: Piece, name: str) -> dict[str, Any]:
    said: dict[str, Any] = {"name": name} if name else {}
    if not isinstance(piece.shape, shapely.Point):
        said["outline_source"] = "drawing"
    return said
