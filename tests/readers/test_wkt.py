"""Well-known text by OGC 06-103r4, against shapely for what is sound."""

import pytest
import shapely
from shapely.geometry import mapping

from lawnmap.readers.wkt import parse, srid

SOUND = [
    # OGC 06-103r4, 7.2.6, table 6: examples of the well-known text representation.
    "Point (10 10)",
    "LineString ( 10 10, 20 20, 30 40)",
    "Polygon ((10 10, 10 20, 20 20, 20 15, 10 10))",
    "MultiPoint ((10 10), (20 20))",
    "MultiLineString ((10 10, 20 20), (15 15, 30 15))",
    "MultiPolygon (((10 10, 10 20, 20 20, 20 15, 10 10)), ((60 60, 70 70, 80 60, 60 60 )))",
    "Point Z (10 10 5)",
    "POLYGON((0 0,4 0,4 4,0 0),(1 0.5,2 0.5,2 1,1 0.5))",
    "POINT(-1.5e-3 +2.)",
]


@pytest.mark.parametrize("text", SOUND)
def test_sound_texts(text):
    assert parse(text) == [mapping(shapely.from_wkt(text))]


def test_a_collection_gives_its_members():
    # OGC 06-103r4, 7.2.6, table 6.
    text = "GeometryCollection (POINT (10 10), POINT (30 30), LINESTRING (15 15, 20 20))"
    assert [each["type"] for each in parse(text)] == ["Point", "Point", "LineString"]


@pytest.mark.parametrize("text", ["POLYGON EMPTY", "GEOMETRYCOLLECTION EMPTY", "MULTIPOINT EMPTY"])
def test_empty_texts_have_no_coordinates(text):
    assert all(not each["coordinates"] for each in parse(text))


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("SRID=27700;POINT(1 2)", 27700),
        (" srid = 4326 ; POINT(1 2)", 4326),
        ("SRID=0;POINT(1 2)", None),
        ("POINT(1 2)", None),
        ("", None),
    ],
)
def test_codes_before_the_text(text, code):
    assert srid(text) == code
    assert not text or parse(text) == [{"type": "Point", "coordinates": (1.0, 2.0)}]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "is not WKT"),
        ("POLYGON", "is not WKT"),
        ("POLYGON((0 0,1 0,1 1))", "closed linestring"),
        ("POLYGON((0 0,1 0,1 1,0 0)", "is not WKT"),
        ("POLYGON((0 0,1 0,1 1,0 0)) POINT(1 2)", "is not WKT"),
        ("POINT(430000,5 433000,5)", "is not WKT"),
        ("POINT(1 nan)", "not WKT that is read: 'nan'"),
        ("POINT(inf 1)", "not WKT that is read: 'inf'"),
        ("POINT(1e400 1)", "not a finite number"),
        ("POINT(0x10 1)", "'0x10' is not a number"),
        ("POINT M(1 2 3)", "not WKT that is read: 'M'"),
        ("CIRCULARSTRING(0 0,1 1,2 0)", "not WKT that is read: 'CIRCULARSTRING'"),
        ('{"type":"Point"}', "is not a number|is not WKT"),
        ("0101000000000000000000F03F0000000000000040", "too long for a number"),
        ("GEOMETRYCOLLECTION(" * 5_000 + ")" * 5_000, "nested too deep"),
        ("GEOMETRYCOLLECTION(GEOMETRYCOLLECTION(POINT(1 2)))", "nested too deep"),
        ("POLYGON" + "(" * 50_000, "nested too deep"),
        # GEOS reads these; shapely's mapping fails on the first.
        ("MULTIPOINT(EMPTY,(1 1))", "has an empty part"),
        ("MULTIPOLYGON(EMPTY,((0 0,1 0,1 1,0 0)))", "has an empty part"),
        ("GEOMETRYCOLLECTION(MULTILINESTRING(EMPTY,(0 0,1 1)))", "has an empty part"),
        ("SRID=27700;SRID=4326;POINT(1 2)", "not WKT that is read: 'SRID'"),
        ("SRID=x;POINT(1 2)", "not WKT that is read: 'SRID'"),
    ],
)
def test_what_is_refused(text, told):
    with pytest.raises(ValueError, match=told):
        parse(text)
