"""Plans written as text: GeoJSON, KML, GPX, OpenStreetMap XML, CSV, tape sheets; bad and good.

Each row is a finding of others: what GDAL, shapely, the standard library or another reader was seen
to accept, drop in silence, hang on or follow.
"""

import json
import math

from tests.hostile.case import Case, accepted

SQUARE = [[-2, 53], [-1.999, 53], [-1.999, 53.001], [-2, 53]]
INTO = ("--into", "site")


def lawn(geometry=None, **properties):
    """Return GeoJSON of one feature."""
    geometry = geometry or {"type": "Polygon", "coordinates": [SQUARE]}
    return collection({"type": "Feature", "properties": properties, "geometry": geometry})


def collection(*features):
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


def ringed(*rings):
    return lawn({"type": "Polygon", "coordinates": list(rings)}, name="Back")


def ringed_as(ring, **properties):
    return lawn({"type": "Polygon", "coordinates": [ring]}, **properties)


def at(position):
    """Return GeoJSON with one position of text in a ring."""
    return lawn().replace(b"[-1.999, 53.001]", position)


def with_crs(crs):
    return lawn().replace(b'"features"', b'"crs": ' + crs + b', "features"', 1)


def metres(*corners):
    """Return corners given in metres about 2° W, 53° N as a closed ring of degrees."""
    ring = [[-2 + x / 67_000, 53 + y / 111_300] for x, y in corners]
    return [*ring, ring[0]]


def star(points):
    """Return a star whose every side crosses nearly all others."""
    step = points // 2
    turns = [2 * math.pi * (n * step % points) / points for n in range(points)]
    return metres(*((30 * math.cos(turn), 30 * math.sin(turn)) for turn in turns))


def kml(inside, head=b""):
    return (
        head
        + b'<kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
        + inside
        + b"</Document></kml>"
    )


def placemark(coordinates, more=b""):
    return kml(
        b"<Placemark>"
        + more
        + b"<Polygon><outerBoundaryIs><LinearRing><coordinates>"
        + coordinates
        + b"</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
    )


def track(point):
    return (
        b'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
        b'<trkpt lat="53" lon="-2"/>' + point + b"</trkseg></trk></gpx>"
    )


def osm(inside, head=b""):
    return head + b'<osm version="0.6">' + inside + b"</osm>"


def tape(*rows):
    """Return a tape sheet; rows are filled up with empty cells."""
    head = "measure,from,to,length,along,side,bearing,points,zone,feature,note"
    lines = [head, "unit,,,m,,,,,,,", *(row + "," * (10 - row.count(",")) for row in rows)]
    return "\n".join(lines).encode()


ENTITIES = b'<!DOCTYPE k [<!ENTITY a "' + b"ha" * 999 + b'"><!ENTITY b "' + b"&a;" * 999 + b'">]>'
LAUGHS = (
    b'<!DOCTYPE k [<!ENTITY l0 "ha">'
    + b"".join(b'<!ENTITY l%d "' % n + b"&l%d;" % (n - 1) * 10 + b'">' for n in range(1, 12))
    + b"]>"
)
OUTSIDE = b'<!DOCTYPE k [<!ENTITY x SYSTEM "file://@SECRET@">]>'
CALLING = b'<!DOCTYPE k [<!ENTITY x SYSTEM "@URL@">]>'
PARAMETER = b'<!DOCTYPE k [<!ENTITY % x SYSTEM "@URL@"> %x;]>'
LINK = b'{"type": "link", "properties": {"href": "@URL@", "type": "proj4"}}'
CRS_URL = b'{"type": "url", "properties": {"url": "@URL@"}}'
GOOD_KML = placemark(b"-2,53 -1.999,53 -1.999,53.001 -2,53")
GOOD_OSM = osm(
    b'<node id="1" lat="53" lon="-2"/><node id="2" lat="53" lon="-1.999"/>'
    b'<node id="3" lat="53.001" lon="-1.999"/><way id="9"><nd ref="1"/><nd ref="2"/>'
    b'<nd ref="3"/><nd ref="1"/><tag k="landuse" v="grass"/></way>'
)
VRT = (
    b'<OGRVRTDataSource><OGRVRTLayer name="secret"><SrcDataSource>@SECRET@</SrcDataSource>'
    b"</OGRVRTLayer></OGRVRTDataSource>"
)
PIPELINE = b'{"type": "gdal_streamed_alg", "command_line": "gdal vector pipeline ! read @SECRET@"}'
POINT = {"type": "Point", "coordinates": [-2, 53]}
TWICE = json.loads(lawn(zone_id="a"))["features"][0]

REFUSED = {
    # Text that is not what it says.
    "pipeline.geojson": PIPELINE,
    "pipeline.kml": PIPELINE,
    "vrt.kml": VRT,
    "vrt.geojson": VRT,
    "vrt.gpx": VRT,
    "vrt.osm": VRT,
    "vrt.csv": VRT,
    "page.kml": b"<!DOCTYPE html><html><script>alert(1)</script></html>",
    "gml.kml": b'<gml:FeatureCollection xmlns:gml="http://www.opengis.net/gml" '
    b'xmlns:xlink="http://www.w3.org/1999/xlink" xsi:schemaLocation="a @URL@">'
    b'<gml:featureMember xlink:href="@URL@"/></gml:FeatureCollection>',
    "plan.gml": b"<wfs:FeatureCollection><a/></wfs:FeatureCollection>",
    "service.kml": b"<OGRWFSDataSource><URL>@URL@</URL></OGRWFSDataSource>",
    "tiles.kml": b'<GDAL_WMS><Service name="TMS"><ServerUrl>@URL@</ServerUrl></Service></GDAL_WMS>',
    "drawing.svg": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "address.csv": b"@URL@",
    "address.geojson": b"@URL@",
    "topology.json": b'{"type": "Topology", "objects": {}, "arcs": []}',
    "esri.json": b'{"geometryType": "esriGeometryPolygon", "features": []}',
    "esri service.json": b'{"url": "@URL@/FeatureServer/0/query?f=json", "features": []}',
    "list.json": b"[1, 2]",
    "lines.geojson": lawn() + b"\n" + lawn(),
    "empty.geojson": b"",
    "blank.geojson": b" \n ",
    "nuls.geojson": bytes(5_000),
    "word.geojson": b"lawn",
    # Parsers made to run for ever or out of memory.
    "laughs.kml": kml(b"&b;", ENTITIES),
    "laughs.gpx": ENTITIES + track(b""),
    "laughs.osm": osm(b"&b;", ENTITIES),
    "billion.kml": kml(b"<name>&l11;</name>", LAUGHS),
    "outside.kml": kml(b"<name>&x;</name>", OUTSIDE),
    "outside.gpx": OUTSIDE + track(b"<name>&x;</name>"),
    "outside.osm": osm(b"", OUTSIDE),
    "calling.kml": kml(b"<name>&x;</name>", CALLING),
    "parameter.kml": kml(b"", PARAMETER),
    "dtd.gpx": b'<!DOCTYPE gpx SYSTEM "@URL@">' + track(b""),
    "dtd.kml": kml(b"", b'<!DOCTYPE kml PUBLIC "a" "@URL@">'),
    "deep.kml": kml(b"<Folder>" * 20_000),
    "deep.gpx": track(b"<extensions>" * 20_000),
    "deep.geojson": b'{"type": "Polygon", "coordinates": ' + b"[" * 200_000,
    "collections.geojson": b'{"type": "GeometryCollection", "geometries": [' * 3_000,
    "property.geojson": lawn(a=9).replace(b"9}", b"[" * 900 + b"]" * 900 + b"}"),
    "digits.geojson": at(b"[" + b"1" * 6_000 + b", 53]"),
    "positions.geojson": lambda: (
        b'{"type":"MultiPoint","coordinates":[' + b"[1,1]," * 900_000 + b"[1,1]]}"
    ),
    "vertices.geojson": lambda: ringed([[-2 + n % 2 / 9, 53 + n / 1e7] for n in range(200_100)]),
    "zones.geojson": lambda: collection(
        *({"type": "Feature", "properties": {}, "geometry": POINT},) * 10_001
    ),
    "large.geojson": lambda: lawn() + b" " * 50_000_000,
    "elements.kml": lambda: kml(b"<a/>" * 1_100_000),
    "attributes.kml": lambda: kml(
        b"<a " + b"".join(b'b%d="" ' % n for n in range(300_000)) + b"/>"
    ),
    "wkt.csv": b'wkt\n"' + b"GEOMETRYCOLLECTION(" * 5_000 + b')"\n',
    "comments.kml": b"<!---->" * 9_000 + b"<",
    "unclosed.kml": b"<!--" + b"-" * 60_000,
    "cut.kml": GOOD_KML[:150],
    "cut.geojson": lawn()[:100],
    "cut.gpx": track(b"")[:70],
    "cut.osm": GOOD_OSM[:90],
    # Numbers that are none.
    "nan.geojson": at(b"[NaN, 53]"),
    "infinity.geojson": at(b"[-1.999, Infinity]"),
    "minus infinity.geojson": at(b"[-Infinity, 53]"),
    "huge.geojson": at(b"[1e400, 53]"),
    "true.geojson": at(b"[true, 53]"),
    "null number.geojson": at(b"[null, 53]"),
    "text.geojson": at(b'["-1.999", 53]'),
    "one number.geojson": at(b"[-1.999]"),
    "nan height.geojson": at(b"[-1.999, 53.001, NaN]"),
    "nan rating.geojson": lawn(moss_rating=3).replace(b" 3}", b" NaN}"),
    "true rating.geojson": lawn(moss_rating=True),
    "text rating.geojson": lawn(moss_rating="three"),
    "rating 99.geojson": lawn(moss_rating=99),
    "rating 1e400.geojson": lawn(moss_rating=3).replace(b" 3}", b" 1e400}"),
    "rating minus.geojson": lawn(thatch_mm=-3),
    "nan.kml": placemark(b"-2,53 -1,53 nan,53 -2,53"),
    "infinity.kml": placemark(b"-2,53 -1,53 1e999,53 -2,53"),
    "hex.kml": placemark(b"-2,53 0x1p3,53 -1.999,53.001 -2,53"),
    "arabic.kml": placemark("-2,53 -١,53 -1.999,53.001 -2,53".encode()),
    "nan.gpx": track(b'<trkpt lat="nan" lon="-2"/>'),
    "infinity.gpx": track(b'<trkpt lat="53" lon="inf"/>'),
    "north.gpx": track(b'<trkpt lat="152" lon="-2"/>'),
    "without.gpx": track(b'<trkpt lon="-2"/>'),
    "comma.gpx": track(b'<trkpt lat="53,5" lon="-2"/>'),
    "nan.osm": GOOD_OSM.replace(b'lat="53.001"', b'lat="nan"'),
    "north.osm": GOOD_OSM.replace(b'lat="53.001"', b'lat="153"'),
    "missing.osm": GOOD_OSM.replace(b'<nd ref="3"/>', b'<nd ref="77"/>'),
    "twice.osm": GOOD_OSM.replace(b'id="2"', b'id="1"'),
    "commas.kml": placemark(b"-2,5,53,1 -1,5,53,1 -1,5,53,2 -2,5,53,1"),
    "commas.csv": b"lon;lat\n-2,5;53,1\n",
    "nan.csv": b"x,y\n1,NaN\n",
    "nan wkt.csv": b'wkt\n"POLYGON((nan 0,1 0,1 1,nan 0))"\n',
    "huge.csv": b"x,y\n1,1e999\n",
    "east.geojson": at(b"[398, 53]"),
    "south.geojson": at(b"[-1.999, -91]"),
    "metres.geojson": at(b"[430000, 433000]"),
    "metres.kml": placemark(b"430000,433000 430020,433000 430020,433030 430000,433000"),
    # Rings and what belongs to a feature.
    "part.geojson": lawn({"type": "MultiPolygon", "coordinates": [[], [SQUARE]]}),
    "part.csv": b'wkt\n"MULTIPOINT(EMPTY,(1 1))"\n',
    "open.geojson": ringed([*SQUARE[:3], [-2, 53.1]]),
    "open.kml": placemark(b"-2,53 -1.999,53 -1.999,53.001 -2,53.1"),
    "short.geojson": ringed(SQUARE[2:]),
    "empty ring.geojson": ringed([]),
    "no ring.geojson": lawn({"type": "Polygon", "coordinates": []}),
    "null.geojson": collection({"type": "Feature", "properties": {}, "geometry": None}),
    "no features.geojson": collection(),
    "no coordinates.geojson": lawn({"type": "Polygon"}),
    "bow-tie.geojson": ringed(metres((0, 0), (20, 30), (20, 0), (0, 30))),
    "outside hole.geojson": ringed(
        metres((0, 0), (20, 0), (20, 30), (0, 30)), metres((50, 0), (60, 0), (60, 9), (50, 9))
    ),
    "walked twice.geojson": ringed(metres(*((0, 0), (20, 0), (20, 30), (0, 30)) * 2)),
    "line.geojson": ringed(metres((0, 0), (20, 0), (40, 0))),
    "star.geojson": ringed(star(401)),
    "great star.geojson": ringed(star(2001)),
    "twice.geojson": b'{"type": "FeatureCollection", "features": [], "features": []}',
    "twice rating.geojson": lawn(moss_rating=1).replace(b" 1}", b' 1, "moss_rating": 5}'),
    "ids.geojson": collection(*({**TWICE, "properties": {}, "id": 1},) * 2),
    "zone ids.geojson": collection(TWICE, TWICE),
    "curve.geojson": lawn({"type": "CurvePolygon", "coordinates": [SQUARE]}),
    "kind.geojson": lawn(feature="lawn"),
    "no feature.geojson": b'{"type": "FeatureCollection", "features": [1]}',
    "link.geojson": with_crs(LINK),
    "url.geojson": with_crs(CRS_URL),
    "file crs.geojson": with_crs(b'{"type": "name", "properties": {"name": "@SECRET@"}}'),
    "999999.geojson": with_crs(b'{"type": "name", "properties": {"name": "EPSG:999999"}}'),
    "pipeline crs.geojson": with_crs(
        b'{"type": "name", "properties": {"name": "+proj=pipeline +step +nadgrids=@SECRET@"}}'
    ),
    "network.kml": kml(b"<NetworkLink><Link><href>@URL@</href></Link></NetworkLink>"),
    "overlay.kml": kml(b"<GroundOverlay><Icon><href>@URL@</href></Icon></GroundOverlay>"),
    "nothing.kml": kml(b"<Placemark><name>a</name></Placemark>"),
    "nothing.gpx": b'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"/>',
    "nothing.osm": osm(b""),
    "change.osm": b'<osmChange version="0.6"><create/></osmChange>',
    # Encodings.
    "utf16.geojson": lawn(name="Süd").decode().encode("utf-16"),
    "utf16 bare.geojson": lawn(name="Süd").decode().encode("utf-16-le"),
    "utf32.geojson": lawn(name="Süd").decode().encode("utf-32"),
    "latin.geojson": json.dumps({"type": "Süd"}, ensure_ascii=False).encode("latin-1"),
    "latin.csv": "x,y,name\n1,2,Süd\n".encode("latin-1"),
    "latin.gpx": track(b"<name>S\xfcd</name>"),
    "utf7.kml": b'<?xml version="1.0" encoding="utf-7"?>' + GOOD_KML,
    "base64.kml": b'<?xml version="1.0" encoding="base64"?>' + GOOD_KML,
    "surrogate.geojson": lawn(name="x").replace(b'"x"', b'"\\ud800"'),
    "overlong.geojson": lawn(name="x").replace(b'"x"', b'"\xc0\xaf"'),
    "nul.csv": b"x,y\n1,2\0\n",
    "nul.kml": GOOD_KML.replace(b"-1.999", b"-1\0999", 1),
    # Tables.
    "quote.csv": b'x,y,name\n1,2,"a\n' + b"3,4,b\n" * 9_000,
    "field.csv": b"x,y,name\n1,2," + b"a" * 200_000,
    "blank.csv": lambda: b"x,y\n" + b"\n" * 3_000_000,
    "ragged.csv": b"x,y\n1,2,3\n",
    "short row.csv": b"x,y,name\n1\n",
    "columns.csv": lambda: b"x,y," + b"a," * 500_000,
    "header.csv": b"x,y,a,A\n1,2,3,4\n",
    "nothing.csv": b"x,y\n",
    "neither.csv": b"a,b\n1,2\n",
    "wkt crs.csv": b'wkt\n"SRID=999999;POINT(1 1)"\n',
    "rating.csv": b'wkt,moss_rating\n"SRID=27700;POLYGON((430000 433000,430020 433000,'
    b'430020 433030,430000 433000))",TRUE\n',
    # Tape sheets.
    "nan tape.csv": tape("baseline,A,B,NaN", "left,A,B,,,,,C", "tie,A,C,5"),
    "comma tape.csv": tape('baseline,A,B,"20,5"', "left,A,B,,,,,C", "tie,A,C,5"),
    "impossible tape.csv": tape(
        "baseline,A,B,20", "left,A,B,,,,,C", "tie,A,C,5", "tie,B,C,5", "outline,,,,,,,A B C,Plot"
    ),
    "loose tape.csv": tape("tie,A,B,5", "tie,C,D,5", "outline,,,,,,,A B C,Plot"),
    "unknown tape.csv": tape("triangle,A,B,5"),
    "unit tape.csv": tape("baseline,A,B,20").replace(b"unit,,,m", b"unit,,,furlong"),
    "huge tape.csv": tape("baseline,A,B,1e308", "left,A,B,,,,,C", "tie,A,C,1e308", "tie,B,C,1e308"),
    "many tape.csv": tape("outline,,,,,,,A1..A999999999,Plot"),
}

LAWN_M = metres((0, 0), (20, 0), (20, 30), (0, 30))
MARKUP = (
    "<img src=x onerror=alert(1)>",
    "</script><script>alert(1)</script>",
    "${fetch('@URL@')}",
    "{{ 7 * 7 }} 50% {% off",
    "{{ cycler.__init__.__globals__.os.mkdir('@TRAP@') }}",
    "{{ self.__init__.__globals__.__builtins__.__import__('os').mkdir('@TRAP@') }}",
    "{% for x in ().__class__.__base__.__subclasses__() %}{% endfor %}",
    "$(mkdir @TRAP@)",
    "`mkdir @TRAP@`",
    "; mkdir @TRAP@",
    "%(name)s {0.__class__}",
    "=cmd|' /C calc'!A0",
    '=WEBSERVICE("@URL@")',
    "@SUM(1+1)",
    "<OGRVRTDataSource><SrcDataSource>@SECRET@</SrcDataSource></OGRVRTDataSource>",
    "../../../../etc/passwd",
    "javascript:fetch('@URL@')",
    "\u202egnp.nwal \u2066x",
    "]]><x xmlns='@URL@'/>",
    "<!ENTITY x SYSTEM '@URL@'>&x;",
)
EXPORTS = ("map", "csv", "kml", "xlsx", "visit")


def named(*names):
    """Return GeoJSON with a zone for each name, in a row."""
    features = []
    for n, name in enumerate(names):
        west = 30 * n
        ring = metres((west, 0), (west + 20, 0), (west + 20, 30), (west, 30))
        properties = {"name": name, "moss_rating": 3, "thatch_rating": 2, "public_note": name}
        geometry = {"type": "Polygon", "coordinates": [ring]}
        features.append({"type": "Feature", "properties": properties, "geometry": geometry})
    return collection(*features)


def exported(*kinds):
    """Return what is typed to export a site as several kinds: it is planned once for all."""
    return (("export", "site", *(f"--to={kind}" for kind in kinds), "--today", "2027-03-01"),)


SPECK = metres((0, 0), (0.1, 0), (0.1, 0.1), (0, 0.1))
COUNTRY = [[-5, 50], [0, 50], [0, 55], [-5, 55], [-5, 50]]
ACCEPTED = [
    accepted("speck.geojson", {"speck.geojson": ringed(SPECK)}, told="odd size"),
    accepted("country.geojson", {"country.geojson": ringed(COUNTRY)}, told="odd size"),
    accepted("clockwise.geojson", {"clockwise.geojson": ringed(LAWN_M[::-1])}),
    accepted("mark.geojson", {"mark.geojson": b"\xef\xbb\xbf" + ringed(LAWN_M)}),
    accepted(
        "heights.geojson",
        {"heights.geojson": ringed([[*place, 80] for place in LAWN_M])},
        told="Heights",
    ),
    accepted(
        "one null.geojson",
        {
            "one null.geojson": collection(
                {"type": "Feature", "properties": {"name": "gone"}, "geometry": None},
                *json.loads(ringed(LAWN_M))["features"],
            )
        },
        told="gone",
    ),
    accepted(
        "nul name.geojson",
        {
            "nul name.geojson": lawn(
                {"type": "Polygon", "coordinates": [LAWN_M]}, name="a\0b\x1b[31m"
            )
        },
        told="ontrol characters",
    ),
    accepted(
        "drawn twice.geojson",
        {
            "drawn twice.geojson": collection(
                *(
                    {
                        **TWICE,
                        "properties": {"name": name},
                        "geometry": {"type": "Polygon", "coordinates": [LAWN_M]},
                    }
                    for name in "ab"
                )
            )
        },
        told="m²",
    ),
    accepted(
        "repaired.geojson",
        {"repaired.geojson": ringed(metres((0, 0), (20, 30), (20, 0), (0, 30)))},
        "--repair",
        told="m²",
    ),
    accepted("list name.geojson", {"list name.geojson": ringed_as(LAWN_M, name=["a", {"b": 1}])}),
    accepted("markup.geojson", {"markup.geojson": named(*MARKUP)}, then=exported(*EXPORTS)),
    accepted(
        "plain.kml",
        {"plain.kml": placemark(b" ".join(b"%.9f,%.9f" % tuple(place) for place in LAWN_M))},
    ),
    accepted(
        "latin.kml",
        {
            "latin.kml": b'<?xml version="1.0" encoding="ISO-8859-1"?>'
            + placemark(
                b" ".join(b"%.9f,%.9f" % tuple(place) for place in LAWN_M), b"<name>S\xfcd</name>"
            )
        },
    ),
    accepted(
        "sheet address.kml",
        {
            "sheet address.kml": placemark(
                b" ".join(b"%.9f,%.9f" % tuple(place) for place in LAWN_M),
                b"<styleUrl>@URL@</styleUrl>"
                b"<description><![CDATA[<img src='@URL@'>]]></description>",
            ).replace(b"<kml", b'<?xml-stylesheet href="@URL@"?><kml', 1)
        },
    ),
    accepted(
        "old.gpx",
        {
            "old.gpx": (
                track(
                    b'<trkpt lat="53.0003" lon="-2"/><trkpt lat="53.0003" lon="-1.9995"/>'
                ).replace(b"1/1", b"1/0")
            )
        },
        "--as",
        "zone",
        told="closed with a straight side",
    ),
    accepted(
        "semicolons.csv",
        {
            "semicolons.csv": (
                b'name;wkt\nBack;"SRID=27700;POLYGON((430000 433000,430020 433000,430020 433030,'
                b'430000 433000))"\n'
            )
        },
    ),
    accepted("good.osm", {"good.osm": GOOD_OSM}),
    Case("good stdin", stdin=ringed(LAWN_M), words=("read", "-", *INTO), code=0),
]


def cases():
    """Return the runs of this kind: refused and accepted."""
    return [*(Case(name, {name: data}) for name, data in REFUSED.items()), *ACCEPTED]
