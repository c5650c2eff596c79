"""What fuzzing begins with: good files of every target, and the words its format is made of."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from lawnmap import schema
from lawnmap.agronomy import field_units, label_rate, label_units
from lawnmap.files.admit import TEXTS
from lawnmap.files.json_text import dumps
from lawnmap.processing.replying import reply_content
from lawnmap.readers import (
    csv_table,
    extended_data,
    geojson,
    gpx,
    kml_geometry,
    placemarks,
    vertex_rows,
    wkt,
)
from lawnmap.readers.osm import tags as osm_tags
from lawnmap.readers.tape import lengths, rows
from lawnmap.store import cards, choices, closed, header, record, specification, weather
from tests import replies
from tests.readers import good_files as good
from tests.readers import osm_texts, tape_rows

SEEDS_OF_BUGS = Path(__file__).parents[1] / "seeds"
LARGEST = 20_000  # bytes of a seed: small ones are changed where it matters
COLUMNS = [column.name for table in ("zones", "features") for column in schema.facts(table)]
COLUMN_WORDS = [word for column in schema.facts("zones") for word in column.words]
KINDS = list(schema.FEATURES)
NUMBERS = ["-2", "53.8", "1e308", "-0.0", "1e-320", "nan", "inf", "0.1", "180", "90", "51,5"]

RATES = (
    "50 g in 10 l over 16 m²", "covers 150 m²", "25 kg/ha in 400 l/ha", "5 g/l at 1 l/m²",
    "2 oz in 2 imperial gal over 20 yd²", "35 g/m² (1 oz/yd²)", "1 1/2 lb per 1,000 sq ft",
    "3 g/m²; 30 kg/ha", "1 box treats 100 m2", "½ oz a sq yd in 1 gal of water",
)  # fmt: skip
MEASURES = ("-1.25e2", "51,5", "7.5 US fl oz", "1 1/2 in", "3/4 imperial gal/1000 ft2",
            "12.5 g/m2", "30 psi", "1 min", "4 mph", "0", ".5 kg", "20 ml/100 m2")  # fmt: skip
NAMES = (
    "plan.geojson", "http://127.0.0.1/x", "/vsicurl/http://x", "CSV:plan.csv", "a\0b.kml",
    "EPSG:27700", "urn:ogc:def:crs:OGC:1.3:CRS84", "http://www.opengis.net/def/crs/EPSG/0/32630",
    "EPSG:4326+5773", "con", "Bänk by the pond!", "OSGB36 / British National Grid",
    "AUTO:42001,-117,33", "\u202egnp.exe", "init=x:1", "ESRI:102001",
    'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],'
    'PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]]',
    'PROJCS["a",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],'
    'PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],'
    'PARAMETER["central_meridian",-2],PARAMETER["scale_factor",0.9996],UNIT["metre",1]]',
)  # fmt: skip
WKTS = (
    "POINT(1 2)", "SRID=27700;POLYGON((0 0,20 0,20 30,0 0),(1 1,2 1,2 2,1 1))",
    "MULTIPOLYGON Z(((0 0 1,1 0 1,1 1 1,0 0 1)))", "LINESTRING EMPTY", "MULTIPOINT((1 1),(2 2))",
    "GEOMETRYCOLLECTION(POINT(1 2),MULTILINESTRING((0 0,1 1),(2 2,3 3)))",
)  # fmt: skip
CARDS = b"""[[product]]
name = "Moss iron (invented)"
form = "soluble"
authorised_for_moss = true
use_by = 2030-01-01
analysis_pct = 20.09
analysis_as = "Fe"
analysis_basis = "w/w"
rate_printed = "50 g in 10 l over 16 m\xc2\xb2"
packs = [{size = 1000, unit = "g", price = 10.0}]
cautions = ["Keep off paving."]
"""
MACHINES = b"""[[machine]]
name = "Scarifier (invented)"
kind = "electric"
width_m = 0.38
speed_km_h = 2.5
box_l = 50
available_from = 2027-03-01
"""
CHOICES = b"""turf_type = "general lawn"
operations = ["raking", "iron_soluble"]
[applicator]
iron_soluble = ""
[zones.front]
iron = "not on this site"
[zones.bank]
leave = true
reason = "wild flowers"
"""
WEATHER = b"date,mean_c,min_c,max_c,rain_mm,frost\n2027-03-01,5,1,9,0.2,no\n2027-03-02,,,,,yes\n"
CLOSED = b"""from,to,zones,kind,reason
2026-10-26,2026-10-30,,closed,fair
2026-11-02,2026-11-03,a b,open only,
"""
RECORD = (
    b'record_id,zone_id,operation,date,amount,unit,note\nr1,a1,raking,2027-03-01,3,g,"a, \'b"\n'
)
TAPE = tape_rows.sheet(
    "baseline,A,B,20.4,,,N 45 E", "tie,A,C,12", "tie,B,C,15.5,,left",
    "offset,A,B,2.5,10,right,,D", "left,A,B,,,,,C", "outline,,,,,,,A B C,Back lawn,zone",
    "spot,,,,,,,D,Tap,supply",
)  # fmt: skip


@cache
def seeds(target: str) -> tuple[bytes, ...]:
    """Return what fuzzing of a target begins with; every bug that was found is among it."""
    found = [*SEEDS[target]()]
    folder = SEEDS_OF_BUGS / target
    if folder.is_dir():
        options = () if target in {"choices", "cards"} else (".toml",)
        found += [
            each.read_bytes() for each in sorted(folder.iterdir()) if each.suffix not in options
        ]
    return tuple(data for data in found if len(data) <= LARGEST)


def dictionary(target: str) -> str:
    """Return the words of a target's format as libFuzzer takes them."""
    words = sorted({str(word) for word in WORDS[target]() if word} | set(NUMBERS))
    return "".join(f'"{_escaped(word)}"\n' for word in words if len(word.encode()) <= 60)


def _escaped(word: str) -> str:
    return "".join(
        chr(byte) if 32 < byte < 127 and chr(byte) not in '"\\' else f"\\x{byte:02X}"
        for byte in word.encode()
    )


def _sample(*names: str) -> list[bytes]:
    return [(good.SAMPLE / name).read_bytes() for name in names]


def _osm() -> bytes:
    way = osm_texts.square(1, landuse="grass", name="Back") + osm_texts.square(2, side=5e-5)
    tree = osm_texts.node(9, 1e-5, 2e-5, natural="tree", leaf_type="broadleaved")
    lawn = osm_texts.relation(5, [(1, "outer"), (2, "inner")], landuse="grass")
    return f'<osm version="0.6">{way}{tree}{lawn}</osm>'.encode()


def _reply() -> list[bytes]:
    lists: dict[str, Any] = {
        "zones": [{"zone_id": "a1", "base": {"moss_rating": 2}, "now": {"moss_rating": 3}}],
        "comments": [{"id": "c1", "zone_id": "a1", "text": "Wet here"}],
    }
    return [
        replies.reply(),
        replies.mailed(replies.reply(kind="comments")),
        dumps(replies.content(**lists)).encode(),
        dumps(replies.content(answers={"q1": "yes"})).encode(),
    ]


def _handover() -> list[bytes]:
    ring = [[430000, 433000], [430020, 433000], [430020, 433030], [430000, 433000]]
    geometry = {"type": "Polygon", "coordinates": [ring]}
    told = {
        "features": [[[geometry], {"name": "Back"}]], "crs": "EPSG:27700", "heights": False,
        "warnings": ["Said."],
    }  # fmt: skip
    point, lawn = bytes.fromhex("0101000000000000000000f03f0000000000000040"), _wkb()
    return [json.dumps(told).encode(), point, lawn, b"WKB|".join((point, lawn))]


def _wkb() -> bytes:
    import shapely

    return bytes(shapely.to_wkb(shapely.box(430000, 433000, 430020, 433030)))


def _keys(keys: Iterable[Any]) -> list[str]:
    found: list[str] = []
    for key in keys:
        found += [key.name, *map(str, key.words), *_keys(key.inside)]
    return found


def _dxf() -> list[bytes]:
    from tests.readers import drawings

    own = (100, "AcDbEntity", 8, "LAWN", 100)
    square = [
        0,
        "LWPOLYLINE",
        *own,
        "AcDbPolyline",
        90,
        3,
        70,
        1,
        10,
        0,
        20,
        0,
        10,
        20,
        20,
        0,
        42,
        0.5,
        10,
        20,
        20,
        30,
    ]
    circle = [0, "CIRCLE", *own, "AcDbCircle", 10, 5, 20, 5, 40, 2]
    text = [0, "TEXT", *own, "AcDbText", 10, 5, 20, 5, 40, 1, 1, "Back"]
    hatch = [
        0,
        "HATCH",
        *own,
        "AcDbHatch",
        10,
        0,
        20,
        0,
        2,
        "SOLID",
        70,
        1,
        71,
        0,
        91,
        1,
        92,
        2,
        72,
        0,
        73,
        1,
        93,
        3,
        10,
        0,
        20,
        0,
        10,
        1,
        20,
        0,
        10,
        1,
        20,
        1,
        97,
        0,
        75,
        1,
        76,
        1,
        98,
        0,
    ]
    insert = [0, "INSERT", *own, "AcDbBlockReference", 2, "A", 10, 0, 20, 0, 41, 2, 50, 30, 70, 2]
    return [
        drawings.simple(each).encode()
        for each in (square, circle + text, hatch, insert + square, [*square, *circle])
    ]  # fmt: skip


SEEDS: dict[str, Any] = {
    "geojson": lambda: [good.GEOJSON, *_sample("plans/lawns.geojson")],
    "kml": lambda: [good.KML],
    "gpx": lambda: [good.GPX, _sample("plans/walk.gpx")[0]],
    "kmz": lambda: [good.zipped(good.KML), good.KML, good.KML + b"\n\n\n" + good.KML],
    "csv": lambda: [good.WKT, good.ROWS, *_sample("plans/outlines.csv", "plans/corners.csv")],
    "tape": lambda: [TAPE.encode(), *_sample("plans/tape.csv")],
    "osm": lambda: [_osm(), *_sample("plans/garden.osm")],
    "wkt": lambda: [each.encode() for each in WKTS],
    "number": lambda: [each.encode() for each in MEASURES],
    "rate": lambda: [each.encode() for each in RATES],
    "choices": lambda: [
        CHOICES, specification.default_text().encode(), *_sample("site/specification.toml"),
    ],
    "cards": lambda: [CARDS, MACHINES, CARDS + MACHINES, *_sample("site/products.toml")],
    "site": lambda: [_small_site()],
    "reply": _reply,
    "tables": lambda: [WEATHER, CLOSED, RECORD],
    "names": lambda: [each.encode() for each in NAMES],
    "handover": _handover,
    "dxf": _dxf,
}  # fmt: skip


def _small_site() -> bytes:
    whole = json.loads(_sample("site/site.geojson")[0])
    return json.dumps({**whole, "features": whole["features"][:2]}).encode()


def _xml(words: Iterable[str]) -> list[str]:
    plain = list(words)
    return [*plain, *(f"<{word}>" for word in plain), *(f"</{word}>" for word in plain)]


PLAIN = [*COLUMNS, *COLUMN_WORDS, *KINDS]
JSON = ["{", "}", "[", "]", ",", ":", '"', "null", "true", "\\u0000", "\\ud800"]
KML_WORDS = [
    "kml", "Placemark", "name", "ExtendedData", "SchemaData", "SimpleData", "Schema", "SimpleField",
    "Data", "value", "MultiGeometry", "outerBoundaryIs", "innerBoundaryIs", "coordinates",
    *kml_geometry.KINDS, *kml_geometry.NO_OUTLINES, *placemarks.CONTAINERS, *placemarks.LEFT_OUT,
]  # fmt: skip
KML_TOKENS = [
    *_xml(KML_WORDS), 'schemaUrl="#s"', 'type="int"', 'id="s"', *placemarks.NAMESPACES,
    *extended_data.WHOLE, *extended_data.REAL, *extended_data.TRUTH, "<![CDATA[", "&#9;",
]  # fmt: skip
CSV_WORDS = [
    *(word for names in (csv_table.WKT, csv_table.DEGREES, csv_table.PLANE) for each in names
      for word in each),
    *vertex_rows.KEYS, *vertex_rows.ORDERS, *vertex_rows.TIMES, ",", ";", "\t", '"', "\r\n",
]  # fmt: skip
WKT_WORDS = [*wkt.WORDS, "SRID=27700;", "((", "))", "(", ")", ","]
WORDS: dict[str, Any] = {
    "geojson": lambda: [
        *geojson.GEOMETRIES, *geojson.FORBIDDEN,
        *(member for each in geojson.FORBIDDEN.values() for member in each),
        "type", "crs", "id", "name", "GeometryCollection", "EPSG:27700", *PLAIN, *JSON,
    ],
    "kml": lambda: [*KML_TOKENS, *PLAIN],
    "kmz": lambda: [*KML_TOKENS, "PK\x03\x04", "PK\x01\x02", "PK\x05\x06", "doc.kml", "../"],
    "gpx": lambda: [
        *_xml(["gpx", "trk", "trkseg", "trkpt", "rte", "rtept", "wpt", "ele", "time", *gpx.TEXTS]),
        *gpx.NAMESPACES, 'lat="53"', 'lon="-2"', "2027-03-01T09:00:00Z", "+01:00",
    ],
    "csv": lambda: [*CSV_WORDS, *WKT_WORDS, *PLAIN, "2027-03-01T09:00:00Z"],
    "tape": lambda: [
        *rows.CELLS, *(name for each in rows.COLUMNS.values() for name in each), *lengths.UNITS_M,
        *lengths.WORDS, "N 45 E", "12' 6\"", "left", "right", *KINDS, ",", ";",
    ],
    "osm": lambda: [
        *_xml(["osm", "node", "way", "relation", "nd", "tag", "member", "note"]), 'version="0.6"',
        'ref="1"', 'role="outer"', 'role="inner"', 'type="way"', 'k="type"', 'v="multipolygon"',
        *osm_tags.PAVED, *osm_tags.GRASS, "natural", "landuse", "leisure", "building", "barrier",
        "-1", 'action="delete"', 'visible="false"', "copyright",
    ],
    "wkt": lambda: WKT_WORDS,
    "number": lambda: [
        *field_units._WORDS, *(unit for _, units in field_units.KINDS.values() for unit in units),
    ],
    "rate": lambda: [
        *label_units.UNIT_OF, *label_rate.JOINERS, *label_rate.ALTERNATIVES, *label_rate.RANGES,
        *label_rate.SKIPPED, *label_rate.PACKS, "½", "²", "㎡", "(", ")",
    ],
    "choices": lambda: [*_keys(choices.CHOICES), *_keys(choices.ZONE), *choices.OPERATIONS, *TOML],
    "cards": lambda: [*_keys(cards.PRODUCT), *_keys(cards.MACHINE), *RATES, *TOML],
    "site": lambda: [
        *(each.name for each in header.MEMBERS), "lawnmap", *geojson.GEOMETRIES, *PLAIN, *JSON,
    ],
    "reply": lambda: [
        *reply_content.HEAD, *reply_content.SITE_HEAD, *reply_content.LISTS, *reply_content.KINDS,
        *reply_content.HOW, "answers",
        *(key for each in reply_content.LISTS.values() for key in each),
        "lawnmap_reply", "digest", "content", *PLAIN, *JSON, "2027-03-01T10:00:00Z",
    ],
    "tables": lambda: [
        *record.COLUMNS, *weather.COLUMNS, "from", "to", "zones", "kind", "reason",
        closed.OPEN_ONLY,
        "2027-03-01", "yes", "no", ",", '"', "'=", "\r\n",
    ],
    "names": lambda: [
        "EPSG:", "OGC:", "urn:ogc:def:crs:", "http://www.opengis.net/def/crs/", "proj=", "+proj=",
        "init=", "nadgrids=", "/vsi", "://", "GEOGCS[", "PROJCS[", "DATUM[", "UNIT[", "AXIS[",
        "PARAMETER[", "GEOGCRS[", "BOUNDCRS[", *(f".{kind}" for kind in TEXTS), "COM1", "../",
    ],
    "handover": lambda: [
        *geojson.GEOMETRIES, "features", "crs", "heights", "warnings", "WKB|", *JSON,
        "\x01\x03\x00\x00\x00", "\x01\x06\x00\x00\x00", "\x01\x07\x00\x00\x00",
    ],
    "dxf": lambda: [
        "SECTION", "ENDSEC", "ENTITIES", "BLOCKS", "HEADER", "TABLES", "EOF", "LWPOLYLINE",
        "POLYLINE", "VERTEX", "SEQEND", "LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "HATCH",
        "INSERT", "TEXT", "MTEXT", "POINT", "BLOCK", "ENDBLK", "$INSUNITS", "$ACADVER", "AC1009",
        "AC1015", "AC1032",
    ],
}  # fmt: skip
TOML = [
    "[",
    "]",
    "[[",
    "]]",
    " = ",
    '"',
    "'''",
    "{",
    "}",
    "true",
    "false",
    "2027-03-01",
    "0x1F",
    "1_0",
    "nan",
]
