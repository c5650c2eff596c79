"""Files made to break a reader, from the disk to the refusal; and fair files that must pass.

Each row is a finding of others: what GDAL, shapely, the standard library or another reader was seen
to accept, drop in silence, hang on or follow.
"""

import io
import json
import struct
import time
import zipfile
from pathlib import Path

import pytest

from lawnmap import plugins
from lawnmap.errors import InputRefused
from lawnmap.files.admit import admit
from lawnmap.found import Found

SAMPLE = Path(__file__).parents[2] / "sample_geo"
SQUARE = [[-2, 53], [-1.999, 53], [-1.999, 53.001], [-2, 53]]


def found(path, layer=None):
    """Read a file as a person's command does, the first layer of several."""
    source = admit(path)
    reader = plugins.load("readers", source.kind)
    layers = reader.look(source)
    return reader.read(source, layer=layer or (layers[0].name if layers else None))


def lawn(geometry=None, **properties):
    geometry = geometry or {"type": "Polygon", "coordinates": [SQUARE]}
    feature = {"type": "Feature", "properties": properties, "geometry": geometry}
    return json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()


def at(position):
    """Return GeoJSON with one position of text in a ring."""
    return lawn().replace(b"[-1.999, 53.001]", position)


def kml(inside, head=b""):
    return (
        head
        + b'<kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
        + inside
        + b"</Document></kml>"
    )


def placemark(coordinates):
    return kml(
        b"<Placemark><Polygon><outerBoundaryIs><LinearRing><coordinates>"
        + coordinates
        + b"</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
    )


def track(point):
    return (
        b'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
        b'<trkpt lat="53" lon="-2"/>' + point + b"</trkseg></trk></gpx>"
    )


def zipped(flags=0, **entries):
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as archive:
        for entry, content in entries.items():
            archive.writestr(entry, content)
    data = memory.getvalue()
    central = data.index(b"PK\1\2")
    return data[: central + 8] + struct.pack("<H", flags) + data[central + 10 :]


ENTITIES = b'<!DOCTYPE k [<!ENTITY a "' + b"ha" * 999 + b'"><!ENTITY b "' + b"&a;" * 999 + b'">]>'
OUTSIDE = b'<!DOCTYPE k [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
LINK = b'{"type": "link", "properties": {"href": "http://192.0.2.1/crs", "type": "proj4"}}'
GOOD_KML = placemark(b"-2,53 -1.999,53 -1.999,53.001 -2,53")
HOSTILE = {
    # Text that is not what it says.
    "pipeline.geojson": b'{"type": "gdal_streamed_alg", "command_line": "gdal vector pipeline"}',
    "vrt.kml": b'<OGRVRTDataSource><OGRVRTLayer name="a"/></OGRVRTDataSource>',
    "vrt.geojson": b'<OGRVRTDataSource><OGRVRTLayer name="a"/></OGRVRTDataSource>',
    "page.kml": b"<!DOCTYPE html><html><script>alert(1)</script></html>",
    "address.csv": b"http://192.0.2.1/plan.geojson",
    "topology.json": b'{"type": "Topology", "objects": {}, "arcs": []}',
    "esri.json": b'{"geometryType": "esriGeometryPolygon", "features": []}',
    "lines.geojson": lawn() + b"\n" + lawn(),
    # Parsers made to run for ever or out of memory.
    "laughs.kml": kml(b"&b;", ENTITIES),
    "laughs.gpx": ENTITIES + track(b""),
    "outside.kml": kml(b"<name>&x;</name>", OUTSIDE),
    "outside.gpx": OUTSIDE + track(b"<name>&x;</name>"),
    "dtd.gpx": b'<!DOCTYPE gpx SYSTEM "http://192.0.2.1/gpx.dtd">' + track(b""),
    "deep.kml": kml(b"<Folder>" * 20_000),
    "deep.geojson": b'{"type": "Polygon", "coordinates": ' + b"[" * 200_000,
    "collections.geojson": b'{"type": "GeometryCollection", "geometries": [' * 3_000,
    "property.geojson": lawn(a=9).replace(b"9}", b"[" * 900 + b"]" * 900 + b"}"),
    "digits.geojson": at(b"[" + b"1" * 6_000 + b", 53]"),
    "positions.geojson": b'{"type":"MultiPoint","coordinates":[' + b"[1,1]," * 900_000 + b"[1,1]]}",
    "elements.kml": kml(b"<a/>" * 1_100_000),
    "wkt.csv": b'wkt\n"' + b"GEOMETRYCOLLECTION(" * 5_000 + b')"\n',
    "comments.kml": b"<!---->" * 9_000 + b"<",
    # Numbers that are none.
    "nan.geojson": at(b"[NaN, 53]"),
    "infinity.geojson": at(b"[-1.999, Infinity]"),
    "huge.geojson": at(b"[1e400, 53]"),
    "true.geojson": at(b"[true, 53]"),
    "text.geojson": at(b'["-1.999", 53]'),
    "nan.kml": placemark(b"-2,53 -1,53 nan,53 -2,53"),
    "nan.gpx": track(b'<trkpt lat="nan" lon="-2"/>'),
    "infinity.gpx": track(b'<trkpt lat="53" lon="inf"/>'),
    "north.gpx": track(b'<trkpt lat="152" lon="-2"/>'),
    "commas.kml": placemark(b"-2,5,53,1 -1,5,53,1 -1,5,53,2 -2,5,53,1"),
    "commas.csv": b"lon;lat\n-2,5;53,1\n",
    "nan.csv": b"x,y\n1,NaN\n",
    "east.geojson": at(b"[398, 53]"),
    "metres.geojson": at(b"[430000, 433000]"),
    "metres.kml": placemark(b"430000,433000 430020,433000 430020,433030 430000,433000"),
    # Rings and what belongs to a feature.
    "part.geojson": lawn({"type": "MultiPolygon", "coordinates": [[], [SQUARE]]}),
    "part.csv": b'wkt\n"MULTIPOINT(EMPTY,(1 1))"\n',
    "open.geojson": lawn({"type": "Polygon", "coordinates": [[*SQUARE[:3], [-2, 53.1]]]}),
    "open.kml": placemark(b"-2,53 -1.999,53 -1.999,53.001 -2,53.1"),
    "short.geojson": lawn({"type": "Polygon", "coordinates": [SQUARE[2:]]}),
    "null.geojson": lawn({"type": "Polygon", "coordinates": []}),
    "twice.geojson": b'{"type": "FeatureCollection", "features": [], "features": []}',
    "ids.geojson": json.dumps(
        {
            "type": "FeatureCollection",
            "features": [{**json.loads(lawn())["features"][0], "id": 1}] * 2,
        }
    ).encode(),
    "curve.geojson": lawn({"type": "CurvePolygon", "coordinates": [SQUARE]}),
    "link.geojson": lawn().replace(b'"features"', b'"crs": ' + LINK + b', "features"', 1),
    "999999.geojson": lawn().replace(
        b'"features"',
        b'"crs": {"type": "name", "properties": {"name": "EPSG:999999"}}, "features"',
        1,
    ),
    "network.kml": kml(b"<NetworkLink><Link><href>http://192.0.2.1/</href></Link></NetworkLink>"),
    # Encodings.
    "utf16.geojson": lawn(name="Süd").decode().encode("utf-16"),
    "latin.geojson": '{"type": "Süd"}'.encode("latin-1"),
    "latin.csv": "x,y,name\n1,2,Süd\n".encode("latin-1"),
    "utf7.kml": b'<?xml version="1.0" encoding="utf-7"?>' + GOOD_KML,
    "surrogate.geojson": lawn(name="x").replace(b'"x"', b'"\\ud800"'),
    "nul.csv": b"x,y\n1,2\0\n",
    # Archives.
    "bomb.kmz": zipped(**{"doc.kml": bytes(50_000_000)}),
    "slip.kmz": zipped(**{"../doc.kml": GOOD_KML}),
    "secret.kmz": zipped(1, **{"doc.kml": GOOD_KML}),
    "nested.kmz": zipped(**{"doc.kml": GOOD_KML, "a.zip": zipped(**{"doc.kml": GOOD_KML})}),
    "many.kmz": zipped(**{f"{n}.kml": kml(b"<a/>" * 240_000) for n in range(8)}),
    "cut.kmz": zipped(**{"doc.kml": GOOD_KML})[:-20],
    # Tables.
    "quote.csv": b'x,y,name\n1,2,"a\n' + b"3,4,b\n" * 9_000,
    "field.csv": b"x,y,name\n1,2," + b"a" * 200_000,
    "blank.csv": b"x,y\n" + b"\n" * 3_000_000,
    "ragged.csv": b"x,y\n1,2,3\n",
    "columns.csv": b"x,y," + b"a," * 500_000,
    "header.csv": b"x,y,a,A\n1,2,3,4\n",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_files_are_refused(name, tmp_path):
    path = tmp_path / name
    path.write_bytes(HOSTILE[name])
    start = time.monotonic()
    with pytest.raises(InputRefused) as caught:
        found(path)
    assert time.monotonic() - start < 15  # the slowest took 3 s on two busy cores
    message = str(caught.value)
    assert message.startswith(f"{name}: ")
    assert message.isprintable()
    assert caught.value.remedy
    assert str(tmp_path) not in message
    assert [each.name for each in tmp_path.iterdir()] == [name]


FAIR = {
    "clockwise.geojson": lawn({"type": "Polygon", "coordinates": [SQUARE[::-1]]}),
    "bow_tie.geojson": lawn(  # judged later, by every format's same rule
        {"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]]}
    ),
    "mark.geojson": b"\xef\xbb\xbf" + lawn(),
    "vrt_name.geojson": lawn(name="<OGRVRTDataSource><OGRVRTLayer/></OGRVRTDataSource>"),
    "template.geojson": lawn(name="{{ 7 * 7 }} ${7 * 7} <img src=x onerror=alert(1)>"),
    "heights.geojson": lawn({"type": "Polygon", "coordinates": [[[*p, 80] for p in SQUARE]]}),
    "plain.kml": GOOD_KML,
    "latin.kml": b'<?xml version="1.0" encoding="ISO-8859-1"?>' + GOOD_KML,
    "plain.kmz": zipped(**{"doc.kml": GOOD_KML, "files/photo.png": b"x"}),
    "plain.gpx": track(b'<trkpt lat="53.001" lon="-2"/>'),
    "old.gpx": track(b'<trkpt lat="53.001" lon="-2"/>').replace(b"1/1", b"1/0"),
    "points.csv": b"name,lon,lat\nTap,-2,53\n",
    "semicolons.csv": b"name;x;y\nTap;430000.5;433000\n",
}


@pytest.mark.parametrize("name", FAIR)
def test_fair_files_are_read(name, tmp_path):
    path = tmp_path / name
    path.write_bytes(FAIR[name])
    assert len(found(path).features) == 1


@pytest.mark.parametrize("name", ["plan.geojson", "plan.kml", "plan.kmz", "plan.gpx", "plan.csv"])
def test_the_sample_is_read(name):
    answer = found(SAMPLE / name)
    assert isinstance(answer, Found)
    assert answer.features


def test_names_pass_as_they_are_typed(tmp_path):
    name = json.loads(FAIR["template.geojson"])["features"][0]["properties"]["name"]
    (tmp_path / "a.geojson").write_bytes(FAIR["template.geojson"])
    assert found(tmp_path / "a.geojson").features[0].properties["name"] == name
