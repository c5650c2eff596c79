"""OpenStreetMap XML, as a map server or an editor saves it: lawns and what matters to them.

Sources: OpenStreetMap wiki, pages "OSM XML", "Relation:multipolygon" and "Map features".
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from lawnmap.errors import InputRefused
from lawnmap.found import Layer
from lawnmap.readers import attributes
from lawnmap.readers import crs as reference_system
from lawnmap.readers.gathering import Gathering
from lawnmap.readers.layers import choose
from lawnmap.readers.net import netted
from lawnmap.readers.osm import contents as osm_contents
from lawnmap.readers.osm import document as osm_document
from lawnmap.readers.osm import facts as osm_facts
from lawnmap.readers.osm import shapes as osm_shapes
from lawnmap.readers.osm.contents import Contents, Piece

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.found import Found

TITLE = "OpenStreetMap XML"
KINDS = ("osm",)
CHILD = False

HOLDS = "Holds other zones of this file; ground they share is counted once when it is measured"


@netted
def look(source: Source) -> list[Layer]:
    """List what matters to a lawn by kind: lawns, pitches, water, trees and so on."""
    return _layers(_contents(source))


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; OpenStreetMap is in degrees
) -> Found:
    """Return the features of one layer.

    What is cut off at the edge of the extract, or is drawn in a form that its kind cannot have, is
    left out and named.

    Raises
    ------
    InputRefused
        By node, way or relation.
    """
    contents = _contents(source)
    system = reference_system.agreed(reference_system.LONLAT, crs)
    if not contents.layers:
        raise _nothing(contents)
    chosen = choose(_layers(contents), layer).name
    gathering = Gathering(lonlat=True)
    _tell(gathering, contents, chosen)
    holding = osm_contents.holding(contents, chosen)
    for piece in holding:
        gathering.note(HOLDS, _place(piece))
    # Shared ground is counted in the zone that stands first: that is the one within.
    last = set(map(_place, holding))
    within = [piece for piece in contents.layers[chosen] if _place(piece) not in last]
    for piece in (*within, *holding):
        _add(gathering, contents, piece)
    return gathering.found(system)


def _nothing(contents: Contents) -> InputRefused:
    broken = sum(map(len, contents.lacking.values()))
    words = f"only what had to be left out ({broken})" if broken else "nothing"
    besides = osm_contents.not_read(contents.others)
    return InputRefused(
        f"holds {words} of what matters to a lawn. {besides}".strip(),
        remedy="Save an extract of the site, a little larger, with whole ways and relations.",
    )


def _tell(gathering: Gathering, contents: Contents, chosen: str) -> None:
    """Say what else is in the file, whose it is, and what had to be left out.

    Of other layers only what no reading of them would tell, as nothing in them is whole.
    """
    if besides := osm_contents.not_read(contents.others):
        gathering.warn(besides)
    if owner := attributes.one_line(contents.document.owner):
        gathering.warn(f'The file says of its data: "{owner}". Name them wherever you share it.')
    for name, lacking in contents.lacking.items():
        if name == chosen or name not in contents.layers:
            for reason, piece in lacking:
                gathering.note(reason, _place(piece))


def _contents(source: Source) -> Contents:
    return _sorted(source.data, source.name)


@lru_cache(maxsize=1)  # all layers of a file are read one after the other
def _sorted(data: bytes, name: str) -> Contents:
    return osm_contents.sort(osm_document.parse(data, name=name))


def _layers(contents: Contents) -> list[Layer]:
    return [
        Layer(name, len(pieces), tuple(sorted({piece.form for piece in pieces})))
        for name, pieces in contents.layers.items()
    ]


def _add(gathering: Gathering, contents: Contents, piece: Piece) -> None:
    properties, changes = osm_facts.properties(piece.thing, piece.rule)
    geometry, told = osm_shapes.shape(contents.document, piece.thing, piece.form)
    place = _place(piece)
    if piece.rule.key == "natural" and piece.thing.tags["natural"] == "tree_row":
        told.append("Rows of trees are taken for hedges")
    for change in (*changes, *told):
        gathering.note(change, place)
    gathering.add([geometry], properties, place)


def _place(piece: Piece) -> str:
    thing = piece.thing
    return attributes.place(thing.kind, thing.number, thing.tags)
