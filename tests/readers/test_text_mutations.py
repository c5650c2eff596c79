"""Good files with bytes changed at random: read or refused, never anything else."""

import io
import json
import math
import random
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import LawnmapError
from lawnmap.files.admit import Source
from lawnmap.files.kind import kind_of
from lawnmap.found import Found
from lawnmap.readers import csv_table, geojson, gpx, kml, kmz

ROUNDS = 300
SEED = 20_270_301

GEOJSON = json.dumps(
    {
        "type": "FeatureCollection",
        "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::27700"}},
        "features": [
            {
                "type": "Feature",
                "id": 7,
                "properties": {"name": "Back lawn", "moss_rating": 3, "tags": ["a", {"b": None}]},
                "geometry": {
                    "type": "MultiPolygon",
                    "coordinates": [[[[430000, 433000], [430020, 433000], [430020.5, 433030],
                                      [430000, 433000]]]],
                },
            },
            {
                "type": "Feature",
                "properties": None,
                "geometry": {
                    "type": "GeometryCollection",
                    "geometries": [{"type": "Point", "coordinates": [430000, 433000, 80]}],
                },
            },
        ],
    }
).encode()  # fmt: skip
KML = b"""<?xml version="1.0" encoding="UTF-8"?>
<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2">
<Document><name>Plan</name>
<Schema id="s"><SimpleField name="moss_rating" type="int"/></Schema>
<Folder><name>Lawns</name><Placemark><name>Back &amp; side</name>
<ExtendedData><SchemaData schemaUrl="#s"><SimpleData name="moss_rating">3</SimpleData></SchemaData>
<Data name="zone_id"><value>B1</value></Data></ExtendedData>
<MultiGeometry><Polygon><outerBoundaryIs><LinearRing><coordinates>
-2,53,80 -1.999,53,80 -1.999,53.001,80 -2,53,80</coordinates></LinearRing></outerBoundaryIs>
</Polygon><Point><coordinates>-2,53</coordinates></Point></MultiGeometry></Placemark></Folder>
<Placemark><gx:Track/></Placemark></Document></kml>"""
GPX = b"""<?xml version="1.0"?><gpx version="1.1" creator="demo"
xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="53" lon="-2"><name>Tap</name></wpt>
<trk><name>Front</name><trkseg><trkpt lat="53" lon="-2"><ele>80</ele></trkpt>
<trkpt lat="53.001" lon="-2"/></trkseg><trkseg><trkpt lat="53.002" lon="-2"/>
<trkpt lat="53.003" lon="-2"/></trkseg></trk></gpx>"""
WKT = b"""zone_id,moss_rating,note,wkt
B1,3,"'=a, b","SRID=27700;POLYGON((430000 433000,430020 433000,430020 433030,430000 433000))"
B2,4.5,,"SRID=27700;MULTIPOINT((430000 433000),(430001 433001))"
"""
ROWS = b"""name;seq;lon;lat;h
Back;1;-2;53;80
Back;2;-1.999;53;81
Back;3;-1.999;53.001;82
Front;1;-2.1;53;80
Front;2;-2.1;53.001;80
Front;3;-2.2;53.001;80
"""


def zipped(data):
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("doc.kml", data)
        archive.writestr("files/a.txt", b"note")
    return memory.getvalue()


GOOD = {
    "geojson": (geojson, GEOJSON),
    "kml": (kml, KML),
    "kmz": (kmz, zipped(KML)),
    "gpx": (gpx, GPX),
    "csv": (csv_table, WKT),
    "csv by rows": (csv_table, ROWS),
}


SAMPLE = Path(__file__).parents[2] / "sample_geo"
SAMPLES = {"geojson": geojson, "kml": kml, "kmz": kmz, "gpx": gpx, "csv": csv_table}


def mutated(data, chance):
    """Return `data` with one to four pieces changed, dropped, doubled or moved."""
    changed = bytearray(data)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(changed) or 1)
        piece = changed[at : at + chance.randint(1, 12)]
        kind = chance.randrange(5)
        if kind == 0:
            changed[at : at + 1] = bytes([chance.randrange(256)])
        elif kind == 1:
            del changed[at : at + len(piece)]
        elif kind == 2:
            changed[at:at] = piece * chance.choice([1, 2, 50])
        elif kind == 3:
            changed[at : at + 1] = chance.choice(
                [b"\0", b"-", b"e999", b",", b'"', b"<", b"[", b"nan", b"\xff", b"9" * 50, b"&a;"]
            )
        else:
            other = chance.randrange(len(changed) or 1)
            changed[other:other] = piece
    return bytes(changed)


def check(answer):
    """Assert that what was accepted is sound: finite numbers and plain values."""
    assert isinstance(answer, Found)
    assert answer.features
    for feature in answer.features:
        assert all(math.isfinite(number) for number in numbers(feature.geometry["coordinates"]))
        json.dumps(feature.properties, allow_nan=False)
        assert feature.place
    assert all(warning.endswith(".") for warning in answer.warnings)


def numbers(value):
    if isinstance(value, float):
        yield value
    else:
        assert isinstance(value, list)
        for each in value:
            yield from numbers(each)


def outcome(module, kind, data):
    """Return what became of one file: read, or refused by a plain message."""
    refusal = None
    try:
        source = Source(f"a.{kind}", data, kind_of(data, f"a.{kind}"))
        layers = module.look(source)
        check(module.read(source, layer=layers[0].name if layers else None))
    except LawnmapError as error:
        refusal = error
    # The net is for what nobody thought of; nothing here is that.
    assert refusal is None or "could not be read" not in refusal.problem
    assert str(refusal).isprintable()
    return "refused" if refusal else "read"


@pytest.mark.parametrize("case", GOOD)
def test_changed_bytes(case):
    module, data = GOOD[case]
    kind = case.split()[0]
    assert outcome(module, kind, data) == "read"
    chance = random.Random(SEED)
    seen = {outcome(module, kind, mutated(data, chance)) for _ in range(ROUNDS)}
    assert seen == {"read", "refused"}


@pytest.mark.parametrize("kind", SAMPLES)
def test_changed_bytes_of_the_sample(kind):
    data = (SAMPLE / f"plan.{kind}").read_bytes()
    assert outcome(SAMPLES[kind], kind, data) == "read"
    chance = random.Random(SEED)
    seen = {outcome(SAMPLES[kind], kind, mutated(data, chance)) for _ in range(200)}
    # The checksum of the one entry of the archive finds nearly every change.
    assert seen == {"read", "refused"} or (kind == "kmz" and seen == {"refused"})


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-500, 500) | st.floats(-200, 200) | st.text(max_size=3)
    | st.sampled_from(["Feature", "Polygon", "Point", "FeatureCollection", "GeometryCollection"]),
    lambda inner: st.lists(inner, max_size=5)
    | st.dictionaries(
        st.sampled_from(
            ["type", "coordinates", "features", "geometry", "geometries", "properties", "id", "crs",
             "name", "bbox"]
        ),
        inner,
        max_size=5,
    ),
    max_leaves=30,
)  # fmt: skip


@given(VALUES, st.sampled_from(["Feature", "FeatureCollection", "Polygon", "GeometryCollection"]))
def test_any_json_at_all(value, kind):
    """Changed bytes seldom pass the parser; values of a wrong shape always do."""
    if isinstance(value, dict):
        value["type"] = kind
    outcome(geojson, "geojson", json.dumps(value).encode())
    feature = {"type": "Feature", "geometry": value, "properties": value}
    assert outcome(geojson, "geojson", json.dumps(feature).encode()) in {"read", "refused"}


CHILDREN = ["Document", "Folder", "Placemark", "Polygon", "outerBoundaryIs", "LinearRing", "Point",
            "coordinates", "MultiGeometry", "name", "ExtendedData", "SchemaData", "SimpleData",
            "Schema", "SimpleField", "trk", "trkseg", "trkpt", "wpt", "rte", "rtept"]  # fmt: skip
TREES = st.recursive(
    st.sampled_from(["", "-2,53", "-2,53 -1,53 -1,54 -2,53", "x", "&#9;"]),
    lambda inner: st.lists(st.tuples(st.sampled_from(CHILDREN), inner), max_size=4).map(
        lambda pairs: "".join(
            f'<{tag} id="s" name="a" lat="53" lon="-2" type="int">{inside}</{tag}>'
            for tag, inside in pairs
        )
    ),
    max_leaves=20,
)


@given(TREES)
def test_any_xml_at_all(inside):
    assert outcome(kml, "kml", f"<kml>{inside}</kml>".encode()) in {"read", "refused"}
    assert outcome(gpx, "gpx", f"<gpx>{inside}</gpx>".encode()) in {"read", "refused"}
