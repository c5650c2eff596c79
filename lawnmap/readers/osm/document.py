"""What stands in an OpenStreetMap file: nodes, ways and relations by number, in whatever order.

The form is that of the OpenStreetMap wiki, page "OSM XML" (version 0.6 of the data model). Nothing
refers to anything here yet: a way may come before its nodes, or without them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.files import xml_text
from lawnmap.files.numbers import number
from lawnmap.files.xml_text import Element
from lawnmap.readers.coordinates import SOUTH_NORTH, WEST_EAST

VERSION = "0.6"
NUMBER = re.compile(r"-?\d{1,19}", re.ASCII)  # negative: drawn, but never sent to the server
AXES = (("longitude", "lon", WEST_EAST), ("latitude", "lat", SOUTH_NORTH))


class Member(NamedTuple):
    """One member of a relation."""

    kind: str
    ref: int
    role: str


class Thing(NamedTuple):
    """A node, a way or a relation.

    Attributes
    ----------
    kind : str
        ``node``, ``way`` or ``relation``.
    number : int
        Its id, unique among things of its kind.
    tags : mapping of str to str
        In the file's order.
    position : tuple of float
        Longitude and latitude of a node [°].
    refs : tuple of int
        The nodes of a way.
    members : tuple of Member
        Of a relation.
    """

    kind: str
    number: int
    tags: Mapping[str, str]
    position: tuple[float, ...] = ()
    refs: tuple[int, ...] = ()
    members: tuple[Member, ...] = ()

    @property
    def closed(self) -> bool:
        """Whether this is a way that comes back to the node where it began."""
        return len(self.refs) > 1 and self.refs[0] == self.refs[-1]


class Document(NamedTuple):
    """A whole file.

    Attributes
    ----------
    nodes, ways, relations : dict of int to Thing
        By number.
    cut : frozenset of int
        Ways with a node that is not in the file: it is an extract, and they cross its edge.
    owner : str
        Whose data the file says it is.
    """

    nodes: dict[int, Thing]
    ways: dict[int, Thing]
    relations: dict[int, Thing]
    cut: frozenset[int]
    owner: str

    def things(self) -> list[Thing]:
        """Return everything with a tag: relations, ways, nodes, each in the file's order."""
        return [
            thing
            for kind in (self.relations, self.ways, self.nodes)
            for thing in kind.values()
            if thing.tags
        ]


def parse(data: bytes, *, name: str) -> Document:
    """Return the file as it stands; what was deleted in it is left out.

    Raises
    ------
    InputRefused
        By node, way or relation and its line: for another version, a number or position that is
        none, and a number that stands for two different things.
    """
    root = xml_text.parse(data, name=name)
    version = root.attributes.get("version", "")
    if root.name != "osm" or root.namespace or version != VERSION:
        raise InputRefused(
            f"is <{root.name[:40]}> of version {version[:20]!r}, not OpenStreetMap XML {VERSION}",
            remedy="Save the extract again as OSM XML.",
        )
    found: dict[str, dict[int, Thing]] = {"node": {}, "way": {}, "relation": {}}
    for element in root.children:
        if element.name in found and not _is_deleted(element):
            _keep(found[element.name], _thing(element), element.line)
    nodes, ways, relations = found.values()
    cut = frozenset(way.number for way in ways.values() if not nodes.keys() >= set(way.refs))
    owner = root.attributes.get("copyright") or root.text_of("note")
    return Document(nodes, ways, relations, cut, owner)


def _is_deleted(element: Element) -> bool:
    told = element.attributes
    return told.get("action") == "delete" or told.get("visible") == "false"


def _keep(known: dict[int, Thing], thing: Thing, line: int) -> None:
    """Add a thing; a repeat that says nothing new is passed over.

    Servers that are asked for some ways and then for all their nodes write a node twice, with its
    tags and bare.
    """
    before = known.get(thing.number)
    if before is None:
        known[thing.number] = thing
        return
    same = before._replace(tags={}) == thing._replace(tags={})
    if same and not before.tags:
        known[thing.number] = thing
    elif not same or (thing.tags and thing.tags != before.tags):
        raise InputRefused(
            "stands twice, and not the same",
            place=f"{thing.kind} {thing.number} (line {line})",
            remedy="Save the extract again: of one state, from one server.",
        )


def _thing(element: Element) -> Thing:
    where = f"{element.name} {element.attributes.get('id', '')[:20]} (line {element.line})"
    own = _whole(element, "id", where)
    tags: dict[str, str] = {}
    for tag in element.every("tag"):
        key, value = tag.attributes.get("k", ""), tag.attributes.get("v", "")
        if tags.setdefault(key, value) != value:
            raise InputRefused(
                f"the tag {key[:40]!r} stands twice", place=where, remedy="Save the extract again."
            )
    if element.name == "node":
        return Thing("node", own, tags, position=_position(element, where))
    if element.name == "way":
        refs = tuple(_whole(each, "ref", where) for each in element.every("nd"))
        return Thing("way", own, tags, refs=refs)
    members = tuple(
        Member(
            each.attributes.get("type", ""),
            _whole(each, "ref", where),
            each.attributes.get("role", "").strip(),
        )
        for each in element.every("member")
    )
    return Thing("relation", own, tags, members=members)


def _whole(element: Element, key: str, where: str) -> int:
    text = element.attributes.get(key, "")
    if not NUMBER.fullmatch(text):
        raise InputRefused(
            f"{key} {text[:20]!r} of <{element.name}> is not a whole number",
            place=where,
            remedy="Save the extract again.",
        )
    return int(text)


def _position(element: Element, where: str) -> tuple[float, ...]:
    position = []
    for axis, key, most in AXES:
        try:
            value = number(element.attributes.get(key, ""))
        except ValueError as error:
            raise InputRefused(
                f"{axis}: {error}", place=where, remedy="Save the extract again."
            ) from error
        if abs(value) > most:
            raise InputRefused(
                f"{axis} {value:.12g} is out of range",
                place=where,
                remedy="OpenStreetMap is in degrees only: save the extract again.",
            )
        position.append(value)
    return tuple(position)
