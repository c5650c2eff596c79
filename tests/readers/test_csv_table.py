"""Text tables: outlines as well-known text, corners by rows, points by rows."""

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files.admit import Source
from lawnmap.found import Layer
from lawnmap.readers import csv_table

SQUARE = [[[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 0.0]]]
WKT = "POLYGON((0 0,4 0,4 4,0 0))"


def source(text):
    data = text if isinstance(text, bytes) else text.encode()
    return Source("plan.csv", data, "csv")


def read(text, **options):
    return csv_table.read(source(text), **options)


def assert_refused(text, told=None, **options):
    with pytest.raises(InputRefused, match=told) as caught:
        read(text, **options)
    assert caught.value.file == "plan.csv"
    assert caught.value.remedy
    return caught.value


@pytest.mark.parametrize("name", ["wkt", "WKT", "geometry", "geom", "the_geom", " Geom "])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_an_outline_a_row(name, separator):
    rows = [["zone_id", name, "moss"], ["A", f'"{WKT}"', "3"], ["B", f'"{WKT}"', ""]]
    found = read("\n".join(separator.join(row) for row in rows))
    assert [each.geometry["coordinates"] for each in found.features] == [SQUARE, SQUARE]
    assert [each.properties for each in found.features] == [
        {"zone_id": "A", "moss": 3},
        {"zone_id": "B", "moss": None},
    ]
    assert [each.place for each in found.features] == ["line 2", "line 3"]
    assert (found.crs, found.warnings) == (None, ())


def test_one_column_needs_no_separator():
    assert len(read(f"wkt\n{WKT}\n{WKT}\n").features) == 2
    assert len(read(f'wkt\n"{WKT}"\n').features) == 1


def test_a_mark_before_the_header():
    assert len(read(b"\xef\xbb\xbfname,x,y\na,1,2\n").features) == 1


def test_codes_before_the_text():
    found = read(f'wkt,name\n"SRID=27700;{WKT}",a\n,b\n"SRID=27700;{WKT}",c\n')
    assert found.crs == "EPSG:27700"
    assert [each.properties["name"] for each in found.features] == ["a", "c"]
    assert found.warnings == ('Left out, without a geometry: line 3 "b".',)
    assert read(f'wkt,name\n"SRID=4326;{WKT}",a\n').crs == "OGC:CRS84"
    assert_refused(
        'wkt,name\n"SRID=4326;POINT(430000 433000)",a', "longitude 430000 is out of range"
    )
    assert_refused(f'wkt,name\n"SRID=27700;{WKT}",a\n"SRID=3857;{WKT}",b', "another SRID")
    assert_refused(f'wkt,name\n"SRID=27700;{WKT}",a\n"{WKT}",b', "another SRID")
    assert_refused(f'wkt,name\n"SRID=999999;{WKT}",a', "is not known")
    assert_refused(f'wkt,name\n"SRID=27700;{WKT}",a', "--crs says", crs="EPSG:3857")
    assert read(f'wkt,name\n"SRID=27700;{WKT}",a', crs="EPSG:27700").crs == "EPSG:27700"


def test_bad_outlines_are_named():
    error = assert_refused(
        'name,wkt\na,POINT(1 2)\nb,"POLYGON((0 0,1 0,1 1))"', "closed linestring"
    )
    assert_refused("wkt\nPOLYGON((0 0,1 0,0 0))", "line 2, ring 1: has 3 of the 4 points")
    assert error.place == 'line 3 "b"'
    assert_refused("wkt;name\nPOINT(1,5 2,5);a", "is not WKT")
    assert_refused('geometry,name\n"{""type"":""Point""}",a', "is not")


@pytest.mark.parametrize(("x", "y"), [("lon", "lat"), ("lng", "Latitude"), ("LONGITUDE", "lat")])
def test_points_in_degrees(x, y):
    found = read(f"name,{x},{y}\nOak,-2,53\nTap,-2.5,53.5\n")
    assert [each.geometry for each in found.features] == [
        {"type": "Point", "coordinates": [-2.0, 53.0]},
        {"type": "Point", "coordinates": [-2.5, 53.5]},
    ]
    assert [each.properties for each in found.features] == [{"name": "Oak"}, {"name": "Tap"}]
    assert (found.crs, found.warnings) == ("OGC:CRS84", ())


@pytest.mark.parametrize(("x", "y"), [("x", "y"), ("X", "Y"), ("Easting", "Northing")])
def test_points_in_metres_do_not_say_where(x, y):
    found = read(f"{y},{x}\n433000,430000\n")
    assert found.features[0].geometry["coordinates"] == [430000.0, 433000.0]
    assert found.crs is None
    assert read(f"{y},{x}\n433000,430000\n", crs="EPSG:27700").crs is None  # the job's to say


def test_bad_positions():
    error = assert_refused("lon,lat\n-2,53\n430000,433000", "longitude 430000 is out of range")
    assert error.place == "line 3, point 1"
    assert "name the columns x and y" in error.remedy
    assert assert_refused("lon;lat\n-2;53\n-2,5;53", "decimal comma").place == "line 3"
    assert_refused("lon,lat\n-2,5,53,1", "4 cells under 2 column names")
    assert_refused("x,y\n1,nan", "'nan' is not a number")
    assert_refused("x,y\n1,", "'' is not a number")
    assert_refused("lon,lat\n-2,53", "--crs says", crs="EPSG:27700")


CORNERS = "0,0\n4,0\n4,4\n".splitlines()


def corners(*names, order=False, close=False):
    rows = ["zone_id," + "seq," * order + "x,y,moss"]
    for name in names:
        for number, corner in enumerate(CORNERS + CORNERS[: int(close)], 1):
            rows.append(f"{name}," + f"{number}," * order + f"{corner},3")
    return "\n".join(rows)


@pytest.mark.parametrize("order", [False, True])
def test_corners_by_rows(order):
    found = read(corners("A", "B", order=order))
    assert [each.geometry for each in found.features] == [
        {"type": "Polygon", "coordinates": SQUARE}
    ] * 2
    assert [each.properties for each in found.features] == [
        {"zone_id": "A", "moss": 3},
        {"zone_id": "B", "moss": 3},
    ]
    assert found.warnings == (
        'Closed by joining the last corner to the first: lines 2 to 4 "A", lines 5 to 7 "B".',
    )
    assert read(corners("A", order=order, close=True)).warnings == ()


def test_a_zone_id_goes_before_a_name():
    text = (
        "name,zone_id,x,y\nLawn,A,0,0\nLawn,A,4,0\nLawn,A,4,4\nLawn,B,0,0\nLawn,B,4,0\nLawn,B,4,4"
    )
    assert [each.properties["zone_id"] for each in read(text).features] == ["A", "B"]


def test_what_differs_between_corners_is_left_out_and_told():
    found = read("name,x,y,h\nA,0,0,1\nA,4,0,2\nA,4,4,3")
    assert found.features[0].properties == {"name": "A"}
    assert found.warnings[0] == (
        "'h' differs from corner to corner and was left out: lines 2 to 4 \"A\"."
    )


def test_corners_that_are_not_sound():
    assert_refused(corners("A", "B", "A"), "lines 8 to 10: the corners do not stand together")
    assert_refused(
        "name,x,y\n,4,4\nA,0,0\nA,4,0\nA,4,4", "lines 2 to 2: the corners do not say whose they are"
    )
    assert_refused("name,x,y\nA,0,0\nA,4,0", "has 2 corners, and an outline has at least 3")
    shuffled = "name,seq,x,y\nA,1,0,0\nA,3,4,0\nA,2,4,4"
    assert_refused(shuffled, "not in the order of 'seq'")
    assert_refused(shuffled.replace("A,3", "A,1"), "not in the order of 'seq'")
    assert_refused(shuffled.replace("A,3", "A,"), "not in the order of 'seq'")
    error = assert_refused("name,lon,lat\nA,0,0\nA,4,0\nA,4,99\nA,0,0", "latitude 99")
    assert error.place == 'lines 2 to 5 "A", ring 1, point 3'


def test_cores_of_one_zone_are_points_and_not_corners():
    text = "feature,zone_id,x,y,thatch_mm\n" + "".join(
        f"core,A,{corner},{n}\n" for n, corner in enumerate(CORNERS)
    )
    found = read(text)
    assert [each.geometry["type"] for each in found.features] == ["Point"] * 3
    assert [each.properties["thatch_mm"] for each in found.features] == [0, 1, 2]


def test_what_may_be_a_point_is_one_unless_numbered():
    trees = "feature,name,x,y\ntree,Oak,0,0\ntree,Oak,4,0\ntree,Oak,4,4\n"
    assert [each.geometry["type"] for each in read(trees).features] == ["Point"] * 3
    pond = "feature,name,seq,x,y\nwater,Pond,1,0,0\nwater,Pond,2,4,0\nwater,Pond,3,4,4\n"
    assert [each.geometry["type"] for each in read(pond).features] == ["Polygon"]


def test_outlines_and_points_in_one_table():
    text = "feature,name,x,y\nzone,A,0,0\nzone,A,4,0\nzone,A,4,4\ntree,Oak,1,1\n"
    assert [each.geometry["type"] for each in read(text).features] == ["Polygon", "Point"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("name,area\na,1\n", "has no geometry"),
        ("lon,area\n1,1\n", "has no geometry"),
        ("x,lat\n1,1\n", "has no geometry"),
        ("wkt,geom\na,b\n", "several columns could be the geometry: wkt, geom"),
        ("lon,longitude,lat\n1,1,1\n", "be the geometry: lon, longitude"),
        ("lon|lat\n1|2\n", "has no geometry"),
        ("wkt\n", "no feature in it has a geometry"),
        ("x,y\n", "no feature in it has a geometry"),
        ('x,y,note\n1,2,"a\n3,4,b\n', "line 2: is not a sound table"),
        ("x,y,note\n1,2," + "a" * 200_000, "line 2: is not a sound table"),
        ("x,y\n1,2\n3\n", "line 3: has 1 cells under 2"),
        ("x,y,a,A\n1,2,3,4\n", "two columns are called"),
        ("x,y\n1,2\0\n", "NUL"),
        ("x,y,name\n1,2,Süd\n".encode("latin-1"), "Latin-1"),
        ("x,y\n1,2\n".encode("utf-16"), "UTF-16"),
        ("x,y" + ",a" * 2_000, "more than 1,000 columns"),
        (" \n\n", "has no geometry"),
    ],
)
def test_what_is_refused(text, told):
    assert_refused(text, told)


def test_what_a_spreadsheet_was_guarded_against_comes_back():
    assert read("name,x,y\n'=1+1,1,2\n").features[0].properties == {"name": "=1+1"}


def test_the_one_layer():
    text = "name,x,y\nA,0,0\nA,4,0\nA,4,4\nOak,1,1\nOak,2,1\nOak,1,2\n"
    assert csv_table.look(source(text)) == [Layer("plan", 2, ("Polygon",))]
    assert len(read(text, layer="plan").features) == 2
    assert_refused(text, "no layer 'Lawns'", layer="Lawns")


@pytest.mark.slow
def test_limits():
    assert_refused("x,y\n" + "1,2\n" * 10_001, "more than 10,000 features")
    assert_refused("name,x,y\n" + "A,1,2\n" * 200_001, "more than 200,000 vertices")
    assert_refused("x,y\n" + "1,2\n" * 1_000_001, "more than 2,000,000 cells")
