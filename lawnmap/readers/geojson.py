"""GeoJSON (RFC 7946), with the ``crs`` member that files from before 2016 have."""

from __future__ import annotations

import json
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.files.limits import SITE
from lawnmap.found import Layer
from lawnmap.readers import attributes
from lawnmap.readers import crs as reference_system
from lawnmap.readers.gathering import Gathering
from lawnmap.readers.layers import choose
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.found import Found

TITLE = "GeoJSON"
KINDS = ("geojson",)
CHILD = False

GEOMETRIES = {"Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"}
# Members that would make an object two things at once: RFC 7946, section 7.1.
FORBIDDEN = {
    "FeatureCollection": ("coordinates", "geometries", "geometry", "properties"),
    "Feature": ("coordinates", "geometries", "features"),
    "geometry": ("geometry", "properties", "features"),
}
# Brackets, braces and commas: a vertex is three. This many are counted before anything is parsed,
# since 50 MB of two-letter texts would fill 1.6 GB.
MOST_PARTS = 10 * SITE.vertices


@netted
def look(source: Source) -> list[Layer]:
    """List the one layer that a GeoJSON text is."""
    return [_layer(_document(source), source.name)]


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; GeoJSON has none to ask for
) -> Found:
    """Return the features of a GeoJSON text.

    Raises
    ------
    InputRefused
        For text that is not GeoJSON, with feature, ring and point.
    """
    document = _document(source)
    choose([_layer(document, source.name)], layer)
    system, lonlat, remarks = _system(document, crs)
    gathering = Gathering(lonlat=lonlat, metres="give the CRS with --crs, such as EPSG:27700.")
    gathering.warnings += remarks
    seen: set[str] = set()
    for number, feature in enumerate(_features(document), 1):
        _add(gathering, feature, number, seen)
    return gathering.found(system)


def _document(source: Source) -> dict[str, Any]:
    """Parse the text and check that it is one GeoJSON object."""
    if sum(map(source.data.count, (b"[", b"{", b","))) > MOST_PARTS:
        raise InputRefused(
            f"holds more than {MOST_PARTS:,} values",
            remedy="Cut the plan down to the site, or split it.",
        )
    try:
        value = json_text.loads(source.data, name=source.name)
    except InputRefused:
        if _is_sequence(source.data):
            raise InputRefused(
                "holds one JSON text after another (a text sequence)",
                file=source.name,
                remedy="Save it as one FeatureCollection.",
            ) from None
        raise
    kind = _kind(value)
    if kind not in {"FeatureCollection", "Feature", "GeometryCollection", *GEOMETRIES}:
        said = f"its type is {kind[:40]!r}" if kind else "it has no type"
        raise InputRefused(
            f"is JSON but not GeoJSON: {said}", remedy="Export the plan as GeoJSON (RFC 7946)."
        )
    if kind == "FeatureCollection":
        _refuse_members(value, kind, "")
        if not isinstance(value.get("features"), list):
            raise InputRefused(
                "is a FeatureCollection without a list of features", remedy="Export it again."
            )
    document: dict[str, Any] = value
    return document


def _kind(value: Any) -> str:
    """Return the type that a GeoJSON object says it is of, or nothing."""
    kind = value.get("type") if isinstance(value, dict) else None
    return kind if isinstance(kind, str) else ""


def _is_sequence(data: bytes) -> bool:
    """Tell RFC 8142 and one-object-a-line texts from one text that is broken."""
    first, _, rest = data.lstrip().partition(b"\n")
    if first.startswith(b"\x1e"):
        return True
    try:
        return isinstance(json.loads(first), dict) and bool(rest.strip())
    except (ValueError, RecursionError):
        return False


def _layer(document: dict[str, Any], file: str) -> Layer:
    features = [each for each in _features(document) if isinstance(each, dict)]
    kinds = {_kind(each.get("geometry")) for each in features} - {""}
    name = document.get("name")
    return Layer(
        attributes.one_line(name) if isinstance(name, str) and name else PurePath(file).stem,
        len(features),
        tuple(sorted(kinds)),
    )


def _features(document: dict[str, Any]) -> list[Any]:
    """Return the features, a bare geometry being one without attributes."""
    if document["type"] == "FeatureCollection":
        features: list[Any] = document["features"]
        return features
    if document["type"] == "Feature":
        return [document]
    return [{"type": "Feature", "geometry": document, "properties": None}]


def _system(document: dict[str, Any], asked: str | None) -> tuple[str | None, bool, list[str]]:
    """Return the CRS of the file, whether it is in degrees, and what to say about it.

    A CRS that only the person named is checked when the coordinates are moved, not here.
    """
    lonlat = reference_system.LONLAT
    if "crs" not in document:
        if asked is None or reference_system.same(lonlat, asked):
            return lonlat, True, []
        return asked, False, [f"The file names no CRS; {asked} was taken, as --crs says."]
    if document["crs"] is None:
        return asked, False, []
    own = reference_system.agreed(reference_system.named(_crs_name(document["crs"])), asked)
    if own == lonlat:
        return own, True, []
    remark = f"The file says that its coordinates are in {own}, x (or longitude) first."
    return own, reference_system.is_geographic(own), [remark]


def _crs_name(member: Any) -> str:
    """Return the name in a ``crs`` member as the GeoJSON specification of 2008 had it."""
    properties = member.get("properties") if isinstance(member, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    if not isinstance(name, str) or member.get("type") != "name":
        raise InputRefused(
            "its crs member does not name a CRS",
            remedy="Addresses are never fetched: take the member out and give --crs.",
        )
    return name


def _add(gathering: Gathering, feature: Any, number: int, seen: set[str]) -> None:
    if _kind(feature) != "Feature":
        raise InputRefused(
            "is not a Feature", place=f"feature {number}", remedy="Export the plan again."
        )
    properties = feature.get("properties")
    if properties is None:
        properties = {}
    if not isinstance(properties, dict):
        raise InputRefused(
            "its properties are not an object", place=f"feature {number}", remedy="Correct it."
        )
    place = attributes.place("feature", number, properties)
    _refuse_members(feature, "Feature", place)
    identity = _identity(feature.get("id"), seen, place)
    if identity is not None and "id" not in properties:
        properties = {**properties, "id": identity}
    gathering.add(_parts(feature.get("geometry"), place), properties, place)


def _identity(value: Any, seen: set[str], place: str) -> str | int | float | None:
    """Return a feature's id, having checked that it has a type RFC 7946 allows and is its own."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise InputRefused("its id is neither text nor number", place=place, remedy="Correct it.")
    # 1, 1.0 and "1" are one id to whoever puts them into a table.
    key = str(int(value) if isinstance(value, float) and value.is_integer() else value)
    if key in seen:
        raise InputRefused(
            f"the id {key[:40]!r} stands twice", place=place, remedy="Give each its own."
        )
    seen.add(key)
    return value


def _parts(geometry: Any, place: str, *, within: bool = False) -> list[dict[str, Any]]:
    """Return the geometries of a feature: one, or those of a collection one level deep."""
    if geometry is None and not within:
        return []
    kind = _kind(geometry)
    if kind == "GeometryCollection" and not within:
        _refuse_members(geometry, "geometry", place)
        members = geometry.get("geometries")
        if not isinstance(members, list):
            raise InputRefused("has no geometries", place=place, remedy="Correct it.")
        return [part for each in members for part in _parts(each, place, within=True)]
    if kind == "GeometryCollection":
        raise InputRefused(
            "is a collection within a collection", place=place, remedy="Split it into features."
        )
    if kind not in GEOMETRIES:
        said = f"of type {kind[:40]!r}" if kind else "without a type"
        raise InputRefused(
            f"has a geometry {said}", place=place, remedy="Save it as polygons, lines or points."
        )
    _refuse_members(geometry, "geometry", place)
    return [geometry]


def _refuse_members(value: dict[str, Any], kind: str, place: str) -> None:
    for member in FORBIDDEN[kind]:
        if member in value:
            raise InputRefused(
                f"is a {kind} with a member {member!r}, which it must not have",
                place=place,
                remedy="Take the member out (RFC 7946, section 7.1).",
            )
