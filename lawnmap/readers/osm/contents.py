"""What an OpenStreetMap file holds for a lawn, sorted into layers; and what it holds besides."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from typing import NamedTuple

import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap import schema
from lawnmap.files.limits import SITE
from lawnmap.readers.osm import shapes as osm_shapes
from lawnmap.readers.osm import tags as osm_tags
from lawnmap.readers.osm.document import Document, Thing
from lawnmap.readers.osm.tags import Rule

ASIDE = {"type", "source", "created_by", "note", "fixme"}  # tags that say nothing of what it is
WORDS = {"Point": "a point", "LineString": "an open line", "Polygon": "an area"}
MOST_NOUNS = 12


class Piece(NamedTuple):
    """A thing as one kind of feature."""

    thing: Thing
    rule: Rule
    form: str


class Contents(NamedTuple):
    """A sorted file.

    Attributes
    ----------
    document : Document
        As it stands.
    layers : dict of str to list of Piece
        What can be drawn, layer by layer in the order they are listed; none of them is empty.
    lacking : dict of str to list of (str, Piece)
        What cannot, by layer, with the reason.
    others : Counter of str
        How many things of which kind are not read.
    """

    document: Document
    layers: dict[str, list[Piece]]
    lacking: dict[str, list[tuple[str, Piece]]]
    others: Counter[str]


def sort(document: Document) -> Contents:
    """Return a file's contents sorted into layers."""
    layers: dict[str, list[Piece]] = defaultdict(list)
    lacking: dict[str, list[tuple[str, Piece]]] = defaultdict(list)
    others: Counter[str] = Counter()
    document = _told_by_outlines(document)
    outlines = _outlines(document)
    for thing in document.things():
        known = osm_tags.rules(thing)
        if not known and not thing.tags.keys() <= ASIDE:
            others[osm_tags.noun(thing)] += 1
        for rule in known:
            if thing.kind == "way" and rule.layer in outlines.get(thing.number, ()):
                continue  # it is read as part of its relation, with the holes
            piece = Piece(thing, rule, osm_tags.form(thing, rule))
            if reason := _reason(document, piece):
                lacking[rule.layer].append((reason, piece))
            else:
                layers[rule.layer].append(piece)
    return Contents(
        document,
        {name: layers[name] for name in osm_tags.LAYERS if name in layers},
        lacking,
        others,
    )


def not_read(others: Counter[str]) -> str:
    """Return one sentence on what is in a file besides, "" when there is nothing."""
    if not others:
        return ""
    shown = [f"{count} {noun}" for noun, count in others.most_common(MOST_NOUNS)]
    if more := sum(others.values()) - sum(count for _, count in others.most_common(MOST_NOUNS)):
        shown.append(f"{more} of other kinds")
    return f"Not read: {', '.join(shown)}."


def holding(contents: Contents, layer: str) -> list[Piece]:
    """Return the zones of a layer that other zones of the file lie in, the smallest first.

    Those others may be of any layer. None are looked for in a file with more vertices than a site
    can have.
    """
    if layer not in osm_tags.ZONES:
        return []
    pieces = [piece for name in osm_tags.ZONES for piece in contents.layers.get(name, ())]
    polygons: list[BaseGeometry] = []
    vertices = 0
    for piece in pieces:
        geometry, _ = osm_shapes.shape(contents.document, piece.thing, piece.form)
        polygons.append(shapely.geometry.shape(geometry))
        vertices += int(shapely.get_num_coordinates(polygons[-1]))
        if vertices > SITE.vertices:
            return []
    sound = [index for index, polygon in enumerate(polygons) if polygon.is_valid]
    tree = shapely.STRtree([polygons[index].representative_point() for index in sound])
    found: list[int] = []
    for outside in sound:
        if pieces[outside].rule.layer == layer:
            inside = (sound[each] for each in tree.query(polygons[outside], predicate="contains"))
            if any(polygons[each].area < polygons[outside].area for each in inside):
                found.append(outside)
    return [pieces[index] for index in sorted(found, key=lambda index: polygons[index].area)]


def _reason(document: Document, piece: Piece) -> str:
    feature, form = piece.rule.feature, piece.form
    if form not in schema.FEATURES[feature]:
        return f"Left out, {WORDS[form]} with a tag of {piece.rule.layer}"
    return osm_shapes.lack(document, piece.thing, form)


def _told_by_outlines(document: Document) -> Document:
    """Return the file with relations that say nothing of themselves tagged as their outlines are.

    Until 2017 that was how areas with holes were tagged (from memory), and old files keep it.
    """
    return document._replace(
        relations={
            number: relation._replace(tags=_told(document, relation))
            for number, relation in document.relations.items()
        }
    )


def _told(document: Document, relation: Thing) -> dict[str, str]:
    own = dict(relation.tags)
    if own.get("type") != "multipolygon" or not own.keys() <= ASIDE:
        return own
    tagged = (document.ways[ref] for ref in _outer(relation) if ref in document.ways)
    return next((dict(way.tags) | own for way in tagged if not way.tags.keys() <= ASIDE), own)


def _outlines(document: Document) -> dict[int, set[str]]:
    """Return, for each way that is the outline of relations, the layers they are read into."""
    found: dict[int, set[str]] = defaultdict(set)
    for relation in document.relations.values():
        layers = {rule.layer for rule in osm_tags.rules(relation)}
        for ref in _outer(relation) if layers else ():
            found[ref] |= layers
    return found


def _outer(relation: Thing) -> Iterable[int]:
    return (
        member.ref for member in relation.members if member.kind == "way" and member.role != "inner"
    )
