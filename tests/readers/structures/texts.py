"""Site plans as text that are nearly right, kind by kind: strategies of the bytes of a file."""

from __future__ import annotations

import io
import json
import math
import zipfile

from hypothesis import strategies as st

from tests.readers.structures import near
from tests.readers.structures.near import NAMES, TEXTS, chances, node, polygons, rings
from tests.readers.tape_rows import HEADER

NATIONAL = [(430_000.0, 433_000.0), (430_050.0, 433_010.0)]  # east and north of EPSG:27700 [m]
METRES = [10.0, 10.0, 40.0, 1.0, 1e-4]
GARDEN = [(0.0, 0.0), (12.0, 7.0), (1e4, 1e4)]  # metres of a plan of its own

# Columns of the schema with what may stand in them, and what may not.
FACTS = {
    "zone_id": ["B1", "B-2", "b1", "!", "x" * 40, 7, 1.5, True, ""],
    "moss_rating": [3, 0, 5, 6, 2.5, "3", "three", True, None],
    "thatch_mm": [12, 12.5, "12", -1, 1e9, None],
    "fed_last": ["2027-03-01", "2027-02-30", 20_270_301, "soon"],
    "turf_type": ["verge", "General Lawn", "moquette", 3],
    "outline_source": ["gps", "drawn", "GPS ", "dreamt"],
    "outline_sigma_m": [0.5, "0.5", -1],
    "area_m2": [100, "100", 1e300, None],
    "client_number": ["12", 12, 12.5, True],
    "note": ["moss here", "a\tb\nc", ["x", {"y": None}], {"z": 1}],
    "feature": ["zone", "Zone ", "bed", "tree", "drain", "carpet", 3],
}


def some_facts(draw, names=tuple(FACTS), most=3):
    """Draw a few columns, each with the first and best of its values more often than not."""
    chosen = draw(st.lists(st.sampled_from(names), max_size=most, unique=True))
    return {name: draw(st.sampled_from([FACTS[name][0]] * 4 + FACTS[name])) for name in chosen}


# GeoJSON -----------------------------------------------------------------------------------------

JSON_VALUES = [
    None, True, False, 0, -1, 3, 2.5, 1e308, -1e-320, 10**25, "", "3", "nan", "zone", [], {},
    [[]], [0, 0], [1, 2, 3], [[0, 0], [1, 1]], {"type": "Point", "coordinates": [1.9, 53.4]},
    "Polygon", "Point", "Feature", "FeatureCollection", "GeometryCollection",
    {"type": "name", "properties": {"name": "EPSG:27700"}},
    {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}},
]  # fmt: skip
OUTLINES = ["Polygon"] * 5 + [
    "MultiPolygon",
    "MultiPolygon",
    "LineString",
    "GeometryCollection",
    "Point",
]


@st.composite
def _geometry(draw, places, widths, kinds=tuple(OUTLINES)):
    kind = draw(st.sampled_from(kinds))
    if kind == "GeometryCollection":
        inside = st.lists(_geometry(places, widths, ("Polygon", "Point", "LineString")), max_size=3)
        return {"type": kind, "geometries": draw(inside)}
    rings_of = draw(polygons(places, widths))
    coordinates = {
        "Polygon": rings_of,
        "LineString": rings_of[0],
        "Point": rings_of[0][0],
        "MultiPolygon": [rings_of, *draw(st.lists(polygons(places, widths), max_size=2))]
        if kind == "MultiPolygon"
        else None,
    }[kind]
    return {"type": kind, "coordinates": coordinates}


@st.composite
def geojson(draw):
    national = draw(st.sampled_from([False, False, False, True]))
    places, widths = (NATIONAL, METRES) if national else (near.PLACES, near.WIDTHS)
    features = []
    for number in range(draw(st.sampled_from([1, 1, 2, 2, 3, 0]))):
        properties = {"name": draw(st.sampled_from(NAMES)), **some_facts(draw)}
        geometry = draw(_geometry(places, widths))
        if geometry["type"] in {"Point", "LineString"} and draw(
            st.sampled_from([True, True, False])
        ):
            properties["feature"] = "drain"
        feature = {"type": "Feature", "properties": properties, "geometry": geometry}
        if draw(st.booleans()):
            feature["id"] = number
        features.append(feature)
    whole = {"type": "FeatureCollection", "features": features}
    if national:
        whole["crs"] = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::27700"}}
    if len(features) == 1:
        whole = draw(st.sampled_from([whole, features[0], features[0]["geometry"]]))
    return json.dumps(near.nudged(draw, whole, JSON_VALUES)).encode()


# KML and KMZ -------------------------------------------------------------------------------------

KML_TAGS = [
    "Document", "Folder", "Placemark", "Polygon", "outerBoundaryIs", "innerBoundaryIs",
    "LinearRing", "LineString", "Point", "coordinates", "MultiGeometry", "name", "ExtendedData",
    "SchemaData", "SimpleData", "Data", "value", "Schema", "SimpleField", "Model",
    "NetworkLink", "x",
]  # fmt: skip


def _positions(ring, *, height=False):
    return " ".join(f"{x!r},{y!r}" + (",80" if height else "") for x, y in ring)


@st.composite
def _kml_shape(draw):
    kind = draw(st.sampled_from(["Polygon"] * 5 + ["LinearRing", "LineString", "Point", "several"]))
    if kind == "several":
        return node("MultiGeometry", *draw(st.lists(_kml_shape(), max_size=3)))
    outline, *holes = draw(polygons())
    high = draw(st.booleans())
    if kind != "Polygon":
        text = _positions(outline if kind != "Point" else outline[:1], height=high)
        return node(kind, node("coordinates", text))
    edges = [
        node(tag, node("LinearRing", node("coordinates", _positions(ring, height=high))))
        for tag, ring in (
            ("outerBoundaryIs", outline),
            *(("innerBoundaryIs", each) for each in holes),
        )
    ]
    return node("Polygon", *edges)


@st.composite
def _kml_tree(draw):
    schema = node(
        "Schema",
        node("SimpleField", name="moss_rating", type="int"),
        node("SimpleField", name="thatch_mm", type="double"),
        node("SimpleField", name="seen", type="bool"),
        id="s",
    )
    folders = []
    for number in range(draw(st.sampled_from([1, 1, 2, 0]))):
        marks = []
        for _ in range(draw(st.sampled_from([1, 1, 2, 3]))):
            values = draw(
                st.sampled_from([("3", "12.5", "1"), ("3", "", "true"), ("2.5", "x", "no")])
            )
            typed = node(
                "SchemaData",
                *(
                    node("SimpleData", value, name=name)
                    for name, value in zip(
                        ("moss_rating", "thatch_mm", "seen"), values, strict=True
                    )
                ),
                schemaUrl="#s",
            )
            plain = [
                node("Data", node("value", value), name=key)
                for key, value in some_facts(draw, ("zone_id", "client_number", "feature")).items()
            ]
            name = node("name", draw(st.sampled_from(NAMES)))
            data = node("ExtendedData", *draw(st.sampled_from([[], [typed], plain])))
            marks.append(node("Placemark", name, data, draw(_kml_shape())))
        folders.append(node("Folder", node("name", f"Lawns {number}"), *marks))
    spaces = {"xmlns": "http://www.opengis.net/kml/2.2"}
    whole = node("kml", node("Document", node("name", "Plan"), schema, *folders), **spaces)
    return near.nudged_xml(draw, whole, KML_TAGS)


@st.composite
def kml(draw):
    return near.xml(draw(_kml_tree())).encode()


@st.composite
def kmz(draw):
    names = draw(
        st.lists(
            st.sampled_from(["doc.kml", "b/plan.KML", "._doc.kml", "a.txt", "files/", "../up.kml"]),
            min_size=1,
            max_size=3,
            unique=True,
        )
    )
    memory = io.BytesIO()
    packing = draw(st.sampled_from([zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED]))
    with zipfile.ZipFile(memory, "w", packing) as archive:
        for name in sorted({*names, "doc.kml"} if draw(st.integers(0, 9)) else names):
            inside = draw(kml()) if name.lower().endswith(".kml") else b""
            archive.writestr(name, inside)
    return memory.getvalue()


# GPX ---------------------------------------------------------------------------------------------

GPX_TAGS = ["trk", "trkseg", "trkpt", "rte", "rtept", "wpt", "name", "ele", "time", "x"]


def _fix(tag, position, time=None):
    inside = [] if time is None else [node("time", time)]
    return node(tag, *inside, lon=repr(position[0]), lat=repr(position[1]))


@st.composite
def gpx(draw):
    walks = []
    timed = draw(st.booleans())
    for _ in range(draw(st.sampled_from([1, 1, 2, 0]))):
        ring = draw(rings(widths=[1e-4, 1e-4, 3e-4, 1e-8]))
        points = [
            _fix("trkpt", each, f"2027-03-01T09:00:{n:02d}Z" if timed else None)
            for n, each in enumerate(ring)
        ]
        cut = draw(st.sampled_from([0, 0, 0, 2]))
        segments = [points[:cut], points[cut:]] if cut else [points]
        name = node("name", draw(st.sampled_from(NAMES)))
        walks.append(node("trk", name, *(node("trkseg", *each) for each in segments)))
    for _ in range(draw(st.sampled_from([0, 0, 1]))):
        ring = draw(rings())
        walks.append(node("rte", *(_fix("rtept", each) for each in ring)))
    walks += [_fix("wpt", draw(rings())[0]) for _ in range(draw(st.sampled_from([0, 0, 1])))]
    space = draw(st.sampled_from(["1/1", "1/0"]))
    spaces = {"xmlns": f"http://www.topografix.com/GPX/{space}"}
    return near.xml(
        near.nudged_xml(draw, node("gpx", *walks, version="1.1", **spaces), GPX_TAGS)
    ).encode()


# Text tables -------------------------------------------------------------------------------------

SEPARATORS = st.sampled_from([",", ",", ";", "\t"])


def _rings_as_wkt(rings_of):
    return ",".join("(" + ",".join(f"{x!r} {y!r}" for x, y in ring) + ")" for ring in rings_of)


@st.composite
def csv_wkt(draw):
    national = draw(st.booleans())
    places, widths = (NATIONAL, METRES) if national else (near.PLACES, near.WIDTHS)
    srid = draw(st.sampled_from(["SRID=27700;" if national else "SRID=4326;"] * 5 + [""]))
    rows = [["name", "moss_rating", "feature", "wkt"]]
    for _ in range(draw(st.integers(1, 3))):
        kind = draw(st.sampled_from(["POLYGON"] * 5 + ["MULTIPOLYGON", "POINT", "LINESTRING", ""]))
        rings_of = draw(polygons(places, widths))
        x, y = rings_of[0][0]
        body = {
            "POLYGON": f"({_rings_as_wkt(rings_of)})",
            "MULTIPOLYGON": f"(({_rings_as_wkt(rings_of)}))",
            "POINT": draw(st.sampled_from([f"({x!r} {y!r})", f"({x!r} {y!r} 3)", " EMPTY"])),
            "LINESTRING": _rings_as_wkt(rings_of[:1]),
            "": "",
        }[kind]
        feature = {"POINT": "tree", "LINESTRING": "hedge"}.get(kind, "")
        rating = draw(st.sampled_from(["3", "3", "", "2.5", "7"]))
        cell = srid + kind + body if kind else ""
        rows.append([draw(st.sampled_from(NAMES)), rating, feature, cell])
    wrong = [
        *TEXTS,
        "POLYGON EMPTY",
        "CIRCULARSTRING(0 0,1 1,1 0)",
        "GEOMETRYCOLLECTION(POINT(1 53))",
    ]
    return near.table(near.nudged_table(draw, rows, wrong), draw(SEPARATORS)).encode()


@st.composite
def csv_points(draw):
    east, north = draw(
        st.sampled_from([("lon", "lat")] * 4 + [("x", "y"), ("Longitude", "Latitude")])
    )
    rows = [["name", "feature", east, north, "note"]]
    for number in range(draw(st.integers(1, 5))):
        x, y = draw(rings())[0]
        kind = draw(st.sampled_from(["tree", "tree", "drain", "core", "", "zone"]))
        rows.append([f"P{number}", kind, repr(x), repr(y), draw(st.sampled_from(TEXTS))])
    return near.table(near.nudged_table(draw, rows), draw(SEPARATORS)).encode()


@st.composite
def csv_rows(draw):
    numbered = draw(st.booleans())
    rows = [["name", *(["seq"] if numbered else []), "lon", "lat", "moss_rating"]]
    for which in range(draw(st.integers(1, 3))):
        ring = draw(rings())
        ring = ring if draw(st.booleans()) else ring[:-1]
        for number, (x, y) in enumerate(ring, 1):
            order = [str(number)] if numbered else []
            rows.append([f"Lawn {which}", *order, repr(x), repr(y), "3"])
    return near.table(near.nudged_table(draw, rows), draw(SEPARATORS)).encode()


@st.composite
def spot_heights(draw):
    """Draw a table of heights about the zones of the site."""
    chance = draw(chances())
    name = draw(st.sampled_from(["height_m", "height_m", "z", "height_ft"]))
    rows = [["lon", "lat", name]]
    for _ in range(draw(st.sampled_from([2, 4, 9, 16]))):
        x, y = 1.9 + 3e-4 * chance.uniform(-1, 1), 53.4 + 3e-4 * chance.uniform(-1, 1)
        rows.append([f"{x:.7f}", f"{y:.7f}", f"{80 + chance.uniform(-1, 1):.2f}"])
    return near.table(near.nudged_table(draw, rows)).encode()


# Tape sheets -------------------------------------------------------------------------------------

TAPE = HEADER.split(",")
TAPE_TEXTS = [
    *TEXTS, "A", "B", "P1", "P1 P2", "P1..P3", "left", "right", "tie", "leg", "outline", "spot",
    "41' 6\"", "12 ft 6 in", "12.5 m", "0", "300", "N45E", "400", "bed",
]  # fmt: skip


def _row(measure, **cells):
    return [
        measure,
        *(str(cells.get(name.rstrip("_"), cells.get(f"{name}_", ""))) for name in TAPE[1:]),
    ]


def _line(measure, one, other, places, **more):
    length = math.dist(places[one], places[other])
    return _row(measure, from_=one, to=other, length=f"{length:.2f}", **more)


@st.composite
def tape(draw):
    """Draw a sheet of a few corners, measured by ties, by offsets or round a traverse."""
    chance = draw(chances())
    count = draw(st.integers(3, 5))
    corners = near.star(chance, (8.0, 14.0), 8.0, corners=count)[:-1]
    places = {"A": (0.0, 0.0), "B": (16.0, 0.0)}
    places |= {f"P{n}": tuple(each) for n, each in enumerate(corners, 1)}
    names = list(places)[2:]
    rows = [TAPE, _row("unit", length=draw(st.sampled_from(["m", "m", "ft", ""])))]
    how = draw(st.sampled_from(["ties", "ties", "offsets", "traverse"]))
    if how == "traverse":
        for one, other in zip(names, [*names[1:], names[0]], strict=True):
            (x1, y1), (x2, y2) = places[one], places[other]
            towards = math.degrees(math.atan2(x2 - x1, y2 - y1)) % 360
            rows.append(_line("leg", one, other, places, bearing=f"{towards:.1f}"))
    else:
        rows.append(_line("baseline", "A", "B", places))
    if how == "ties":
        rows.append(_row("left", from_="A", to="B", points=" ".join(names)))
        rows += [_line("tie", end, name, places) for name in names for end in "AB"]
        rows += [_line("tie", names[0], names[2], places)] * draw(st.integers(0, 1))
    elif how == "offsets":
        for name in names:
            x, y = places[name]
            cells = {"along": f"{x:.2f}", "length": f"{y:.2f}", "side": "left", "points": name}
            rows.append(_row("offset", from_="A", to="B", **cells))
    order = draw(st.permutations(names)) if draw(st.sampled_from([False, False, True])) else names
    rows.append(
        _row("outline", points=" ".join(order), zone=draw(st.sampled_from(NAMES)), note="wet")
    )
    if draw(st.booleans()):
        rows.append(_row("spot", points=names[0], zone="Plum", feature="tree"))
    return near.table(near.nudged_table(draw, rows, TAPE_TEXTS)).encode()


# OpenStreetMap XML -------------------------------------------------------------------------------

OSM_TAGS = ["node", "way", "relation", "nd", "member", "tag", "bounds", "x"]
MEANINGS = [
    {"landuse": "grass"}, {"landuse": "grass", "surface": "grass", "name": "Green"},
    {"leisure": "garden"}, {"leisure": "pitch", "sport": "tennis"},
    {"natural": "water", "water": "pond"}, {"building": "yes", "height": "6"},
    {"barrier": "hedge", "height": "2 m"}, {"natural": "tree"},
    {"natural": "tree", "height": "6'4\"", "diameter_crown": "wide"},
    {"highway": "residential"}, {"landuse": "flowerbed"}, {"barrier": "gate", "width": "1"},
    {"barrier": "hedge", "area": "yes"},
]  # fmt: skip


def _tags(said):
    return [node("tag", k=key, v=value) for key, value in said.items()]


@st.composite
def osm(draw):
    things, number = [], 0
    ways = []
    for _ in range(draw(st.sampled_from([1, 1, 2, 3]))):
        rings_of = draw(polygons())
        members = []
        for ring in rings_of:
            refs = []
            for x, y in ring[:-1]:
                number += 1
                refs.append(number)
                things.append(node("node", id=number, lon=repr(x), lat=repr(y)))
            if draw(st.integers(0, 4)):
                refs.append(refs[0])
            number += 1
            members.append(number)
            alone = len(rings_of) == 1
            said = draw(st.sampled_from(MEANINGS[:1] * 4 + MEANINGS)) if alone else {}
            ways.append(
                node("way", *(node("nd", ref=ref) for ref in refs), *_tags(said), id=number)
            )
        if len(rings_of) > 1:
            number += 1
            roles = ["outer", "inner"]
            parts = [
                node("member", type="way", ref=ref, role=role)
                for ref, role in zip(members, roles, strict=True)
            ]
            said = {"type": "multipolygon", **draw(st.sampled_from(MEANINGS))}
            ways.append(node("relation", *parts, *_tags(said), id=number))
    if draw(st.booleans()):
        x, y = draw(rings())[0]
        said = _tags(draw(st.sampled_from(MEANINGS)))
        things.append(node("node", *said, id=number + 1, lon=repr(x), lat=repr(y)))
    whole = node("osm", *things, *ways, version="0.6")
    return near.xml(near.nudged_xml(draw, whole, OSM_TAGS)).encode()
