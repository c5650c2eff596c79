"""The shape of a thing in an OpenStreetMap file, or what keeps it from having one."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from lawnmap.readers.osm import rings as osm_rings
from lawnmap.readers.osm.document import Document, Thing

CUT = "Left out, cut off at the edge of the extract"
SHORT = "Left out, drawn with too few nodes"
OPEN = "Left out, its ways do not join into rings"
NOT_FOLLOWED = "Left out, a relation within the relation is not followed"
RINGS = f"Left out, made of more than {osm_rings.MOST_RINGS} rings"
NO_WAYS = "Left out, a relation without ways"
ROLES = "Which rings are holes was told by where they lie, not by the roles they have"

LEAST = {"LineString": 2, "Polygon": osm_rings.LEAST}


def lack(document: Document, thing: Thing, form: str) -> str:
    """Return why a thing can have no shape of this form, "" when it can.

    It costs no more than the file is long, however often one way is a member of relations.
    """
    if thing.kind == "node":
        return ""
    if thing.kind == "way":
        if thing.number in document.cut:
            return CUT
        return "" if len(thing.refs) >= LEAST[form] else SHORT
    if any(member.kind == "relation" for member in thing.members):
        return NOT_FOLLOWED
    ways = _ways(document, thing)
    if None in ways.values() or not document.cut.isdisjoint(ways):
        return CUT
    return _lack_of_rings([way for way in ways.values() if way is not None])


def _lack_of_rings(ways: list[Thing]) -> str:
    if not ways:
        return NO_WAYS
    if any(len(way.refs) < LEAST["LineString"] for way in ways):
        return SHORT
    # Ends tell whether they join, and two nodes between whether that makes a ring.
    rings = osm_rings.joined([(way.refs[0], *way.refs[1:-1][:2], way.refs[-1]) for way in ways])
    if rings is None:
        return OPEN
    return RINGS if len(rings) > osm_rings.MOST_RINGS else ""


def shape(document: Document, thing: Thing, form: str) -> tuple[dict[str, Any], list[str]]:
    """Return the GeoJSON geometry of a thing that lacks nothing, and what a person should know."""
    if thing.kind == "node":
        return {"type": "Point", "coordinates": list(thing.position)}, []
    if thing.kind == "way":
        line = _positions(document, thing.refs)
        return {"type": form, "coordinates": [line] if form == "Polygon" else line}, []
    ways = [way for way in _ways(document, thing).values() if way is not None]
    rings = osm_rings.joined([way.refs for way in ways]) or []
    geometry, holes = osm_rings.nested([_positions(document, ring) for ring in rings])
    return geometry, [ROLES] if _is_mistaken(thing, ways, rings, holes) else []


def _positions(document: Document, refs: Sequence[int]) -> list[list[float]]:
    return [list(document.nodes[ref].position) for ref in refs]


def _is_mistaken(
    relation: Thing, ways: list[Thing], rings: list[tuple[int, ...]], holes: list[bool]
) -> bool:
    """Tell whether a way of a hole has the role of an outline, or the other way round."""
    roles = {member.ref: member.role for member in relation.members if member.kind == "way"}
    # A way is known again in its ring by its first edge.
    role_of = {way.refs[:2]: roles[way.number] for way in ways}
    role_of |= {way.refs[1::-1]: roles[way.number] for way in ways}
    return any(
        role_of.get(edge) == ("outer" if hole else "inner")
        for ring, hole in zip(rings, holes, strict=True)
        for edge in pairwise(ring)
    )


def _ways(document: Document, relation: Thing) -> dict[int, Thing | None]:
    """Return the member ways of a relation by number, None for what is not in the file."""
    return {
        member.ref: document.ways.get(member.ref)
        for member in relation.members
        if member.kind == "way"
    }
