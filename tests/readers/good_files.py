"""One small good file, or a few, of every kind that is read; each is rich in what it holds.

Small, so that a change at random hits something. The plan comes first, its sister files after it.
"""

import io
import json
import zipfile
from pathlib import Path

SAMPLE = Path(__file__).parents[2] / "sample_geo"

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


def sample(*names):
    """Return files of the sample by name."""
    return {Path(name).name: (SAMPLE / name).read_bytes() for name in names}


def shapefile():
    return sample(*(f"shapefile/zones{suffix}" for suffix in (".shp", ".shx", ".dbf", ".prj")))


def jpeg():
    """Return a small picture with a world file beside it."""
    from tests.readers.pictures import plan, saved

    return {
        "plan.jpg": saved(plan(), "jpeg", exif=b"Exif\0\0II*\0\x08\0\0\0\0\0"),
        "plan.jgw": WORLD,
    }


def png():
    from tests.readers.pictures import plan, saved

    return {"plan.png": saved(plan("P"), "png"), "plan.pgw": WORLD}


def tiff():
    from tests.readers.pictures import geotiff

    keys = {1024: 1, 3072: 27_700}
    return {"plan.tif": geotiff({34264: MATRIX}, keys, compression="tiff_lzw")}


# Of 60 by 40 pixels of half a metre, a little askew.
WORLD = b"0.5\n0.1\n0.1\n-0.5\n430000\n282000\n"
MATRIX = (0.5, 0.1, 0, 430_000, 0.1, -0.5, 0, 282_000, 0, 0, 0, 0, 0, 0, 0, 1)

PAGE_CONTROL = b"""name,column,row,lon,lat
a,0,0,1.9,53.4
b,250,0,1.9001,53.4
c,250,250,1.9001,53.39994
d,0,250,1.9,53.39994
"""


def pdf():
    """Return a page of 90 by 90 points with a square on it."""
    marks = "0 0 0 rg 20 20 36 36 re f"
    parts = [
        "<< /Type /Catalog /Pages 2 0 R >>",
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 90 90] /Contents 4 0 R >>",
        f"<< /Length {len(marks)} >>\nstream\n{marks}\nendstream",
    ]
    text, starts = "%PDF-1.4\n", []
    for number, part in enumerate(parts, 1):
        starts.append(len(text))
        text += f"{number} 0 obj\n{part}\nendobj\n"
    table = "".join(f"{start:010d} 00000 n \n" for start in starts)
    end = f"trailer << /Size 5 /Root 1 0 R >>\nstartxref\n{len(text)}\n%%EOF\n"
    return {"plan.pdf": f"{text}xref\n0 5\n0000000000 65535 f \n{table}{end}".encode()}
