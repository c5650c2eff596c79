"""GeoJSON against the examples and the rules of RFC 7946."""

import json

import pytest

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.files.admit import Source
from lawnmap.files.limits import SITE
from lawnmap.found import Layer
from lawnmap.readers import geojson

SQUARE = [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]
GRID = [[430000, 433000], [430020, 433000], [430020, 433030], [430000, 433000]]


def source(value):
    data = value if isinstance(value, bytes) else json.dumps(value).encode()
    return Source("plan.geojson", data, "geojson")


def read(value, **options):
    return geojson.read(source(value), **options)


def assert_refused(value, told=None, **options):
    with pytest.raises(InputRefused, match=told) as caught:
        read(value, **options)
    assert caught.value.file == "plan.geojson"
    assert caught.value.remedy
    return caught.value


def polygon(*rings, **members):
    return {"type": "Polygon", "coordinates": list(rings or [SQUARE]), **members}


def feature(geometry=None, properties=None, **members):
    return {"type": "Feature", "geometry": geometry, "properties": properties, **members}


def collection(*features, **members):
    return {"type": "FeatureCollection", "features": list(features), **members}


# RFC 7946, appendix A, and section 3.1.9 for the one cut at 180 degrees.
APPENDIX = {
    "A.1 Points": {"type": "Point", "coordinates": [100.0, 0.0]},
    "A.2 LineStrings": {"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]},
    "A.3 no holes": {"type": "Polygon", "coordinates": [SQUARE]},
    "A.3 with holes": {
        "type": "Polygon",
        "coordinates": [
            SQUARE,
            [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]],
        ],
    },
    "A.4 MultiPoints": {"type": "MultiPoint", "coordinates": [[100.0, 0.0], [101.0, 1.0]]},
    "A.5 MultiLineStrings": {
        "type": "MultiLineString",
        "coordinates": [[[100.0, 0.0], [101.0, 1.0]], [[102.0, 2.0], [103.0, 3.0]]],
    },
    "A.6 MultiPolygons": {
        "type": "MultiPolygon",
        "coordinates": [
            [[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]],
            [SQUARE, [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]]],
        ],
    },
    "3.1.9 antimeridian": {
        "type": "MultiPolygon",
        "coordinates": [
            [[[180.0, 40.0], [180.0, 50.0], [170.0, 50.0], [170.0, 40.0], [180.0, 40.0]]],
            [[[-170.0, 40.0], [-170.0, 50.0], [-180.0, 50.0], [-180.0, 40.0], [-170.0, 40.0]]],
        ],
    },
}


@pytest.mark.parametrize("example", APPENDIX)
@pytest.mark.parametrize("wrap", [lambda g: g, feature, lambda g: collection(feature(g))])
def test_the_geometries_of_the_appendix(example, wrap):
    found = read(wrap(APPENDIX[example]))
    assert [each.geometry for each in found.features] == [APPENDIX[example]]
    assert (found.crs, found.warnings) == ("OGC:CRS84", ())


def test_a7_geometry_collections():
    # RFC 7946, A.7: a point and a line, so a feature of each.
    members = [
        {"type": "Point", "coordinates": [100.0, 0.0]},
        {"type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]]},
    ]
    found = read({"type": "GeometryCollection", "geometries": members})
    assert [each.geometry for each in found.features] == members
    assert found.warnings == ("Made into one feature a kind of geometry: feature 1.",)


def test_the_example_of_section_1_5():
    line = [[102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0]]
    found = read(
        collection(
            feature({"type": "Point", "coordinates": [102.0, 0.5]}, {"prop0": "value0"}),
            feature({"type": "LineString", "coordinates": line}, {"prop0": "value0", "prop1": 0.0}),
            feature(polygon(), {"prop0": "value0", "prop1": {"this": "that"}}),
        )
    )
    assert [each.properties for each in found.features] == [
        {"prop0": "value0"},
        {"prop0": "value0", "prop1": 0.0},
        {"prop0": "value0", "prop1": '{"this":"that"}'},
    ]
    assert [each.place for each in found.features] == ["feature 1", "feature 2", "feature 3"]


def test_foreign_members_and_boxes_are_passed_over():
    # RFC 7946, 6.1; 5 for a box of three axes; 5.2 for one across 180 degrees.
    box = [100.0, 0.0, -100.0, 105.0, 1.0, 0.0]
    header = {"format": 1, "title": "Demo"}
    value = collection(feature(polygon(), centerline={"type": "x"}), bbox=box, lawnmap=header)
    assert len(read(value).features) == 1


def test_both_orientations_are_taken():
    # RFC 7946, 3.1.6: parsers should not reject polygons that do not follow the right-hand rule.
    assert read(polygon(SQUARE[::-1])).features[0].geometry["coordinates"] == [SQUARE[::-1]]


@pytest.mark.parametrize(
    ("value", "member"),
    [
        # RFC 7946, 7.1.
        (collection(coordinates=[]), "coordinates"),
        (collection(geometries=[]), "geometries"),
        (collection(geometry=None), "geometry"),
        (collection(properties={}), "properties"),
        (feature(polygon(), coordinates=[]), "coordinates"),
        (feature(polygon(), geometries=[]), "geometries"),
        (feature(polygon(), features=[]), "features"),
        (polygon(geometry=None), "geometry"),
        (polygon(properties={}), "properties"),
        (polygon(features=[]), "features"),
        (feature({"type": "GeometryCollection", "geometries": [], "properties": {}}), "properties"),
    ],
)
def test_forbidden_members(value, member):
    assert "7.1" in assert_refused(value, f"member '{member}', which it must not have").remedy


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ([], "not GeoJSON: it has no type"),
        (7, "not GeoJSON"),
        ({}, "has no type"),
        ({"type": 7}, "has no type"),
        ({"type": []}, "has no type"),
        (feature({"type": []}), "geometry without a type"),
        ({"type": "Topology", "arcs": []}, "its type is 'Topology'"),
        ({"type": "polygon", "coordinates": [SQUARE]}, "its type is 'polygon'"),
        ({"type": "FeatureCollection"}, "without a list of features"),
        ({"type": "FeatureCollection", "features": {}}, "without a list of features"),
        (collection(), "no feature in it"),
        (collection(7), "feature 1: is not a Feature"),
        (collection(polygon()), "feature 1: is not a Feature"),
        (collection(feature(polygon(), [])), "feature 1: its properties are not an object"),
        (feature([SQUARE]), "geometry without a type"),
        (feature({"type": "CurvePolygon", "coordinates": []}), "geometry of type 'CurvePolygon'"),
        (feature({"type": "Feature"}), "geometry of type 'Feature'"),
        (feature({"type": "GeometryCollection"}), "has no geometries"),
        (
            {"type": "GeometryCollection", "geometries": [{"type": "GeometryCollection"}]},
            "collection within a collection",
        ),
        ({"type": "GeometryCollection", "geometries": [None]}, "geometry without a type"),
        (collection(feature(polygon(), id=[1])), "id is neither text nor number"),
        (collection(feature(polygon(), id=True)), "id is neither text nor number"),
        (collection(feature(polygon(), id=1), feature(polygon(), id="1")), "id '1' stands twice"),
        (collection(feature(polygon(), id=1.0), feature(polygon(), id=1)), "id '1' stands twice"),
    ],
)
def test_what_is_not_geojson(value, told):
    assert_refused(value, told)


@pytest.mark.parametrize(
    "data",
    [
        b'{"type": "Feature"}\n{"type": "Feature"}\n',
        b'\x1e{"type": "Feature"}\n\x1e{"type": "Feature"}\n',  # RFC 8142, section 2.1
        b'\xef\xbb\xbf{"type": "Feature"}\n{"type": "Feature"}\n'[3:],
    ],
)
def test_text_sequences_are_named(data):
    assert "one FeatureCollection" in assert_refused(data, "a text sequence").remedy


def test_broken_json_is_not_called_a_sequence():
    assert_refused(b'{"type":\n "Feature",}', "is not JSON")
    assert_refused(b"[" * 100_000, "more than 64 deep")


BAD_POLYGONS = [
    ([[SQUARE[0], SQUARE[1], SQUARE[2], [100.0, 1e-9]]], ", ring 1: the ring does not end"),
    ([SQUARE, SQUARE[:3] + SQUARE[:1], SQUARE[:4]], ", ring 3: the ring does not end"),
    ([SQUARE[:2] + SQUARE[:1]], ", ring 1: has 3 of the 4 points"),
    ([SQUARE, []], ", ring 2: has 0 of the 4 points"),
    ([[100, 0, 101, 0, 100, 0]], ", ring 1, point 1: is not a pair"),
    (SQUARE, ", ring 1: has 2 of the 4 points"),  # a bracket is missing
    (7, ": the coordinates are not nested"),
    (None, ": the coordinates are not nested"),
    ([7], ", ring 1: the coordinates are not nested"),
    ([[[100.0], *SQUARE]], ", ring 1, point 1: is not a pair"),
    ([[*SQUARE[:2], [101, None], *SQUARE[3:]]], ", ring 1, point 3: latitude is not a number"),
    ([[*SQUARE[:2], ["101", 1], *SQUARE[3:]]], ", ring 1, point 3: longitude is not a number"),
    ([[*SQUARE[:2], [True, 1], *SQUARE[3:]]], ", ring 1, point 3: longitude is not a number"),
    ([[*SQUARE[:2], [101, 1, "h"], *SQUARE[3:]]], ", ring 1, point 3: height is not a number"),
    ([[*SQUARE[:2], [398, 1], *SQUARE[3:]]], ", ring 1, point 3: longitude 398 is out of range"),
    ([[*SQUARE[:2], [101, 91], *SQUARE[3:]]], ", ring 1, point 3: latitude 91 is out of range"),
    ([GRID], ", ring 1, point 1: longitude 430000 is out of range"),
]


@pytest.mark.parametrize(("coordinates", "told"), BAD_POLYGONS)
def test_a_bad_place_is_named(coordinates, told):
    bad = feature({"type": "Polygon", "coordinates": coordinates}, {"name": "Back lawn"})
    assert_refused(collection(feature(polygon()), bad), f'feature 2 "Back lawn"{told}')


def test_places_in_multi_geometries():
    lines = {"type": "MultiLineString", "coordinates": [[[0, 0], [1, 1]], [[0, 0], [1, "x"]]]}
    assert assert_refused(lines).place == "feature 1, part 2, point 2"
    polygons = {"type": "MultiPolygon", "coordinates": [[SQUARE], [SQUARE, SQUARE[1:]]]}
    assert assert_refused(polygons).place == "feature 1, part 2, ring 2"
    points = {"type": "MultiPoint", "coordinates": [[0, 0], [200, 0]]}
    assert assert_refused(points).place == "feature 1, part 2, point 1"
    members = {"type": "GeometryCollection", "geometries": [polygon(), polygon(SQUARE[:2])]}
    assert assert_refused(members).place == "feature 1, geometry 2, ring 1"


def test_hints_for_positions_out_of_range():
    assert "give the CRS with --crs" in assert_refused(polygon(GRID)).remedy
    swapped = {"type": "Point", "coordinates": [53.8, -101.5]}
    assert "are the two swapped" in assert_refused(swapped, "latitude -101.5").remedy


def test_empty_and_null_geometries_are_left_out_and_named():
    empty = [
        {"type": kind, "coordinates": []}
        for kind in ("Point", "LineString", "Polygon", "MultiPoint", "MultiPolygon")
    ]
    nested = {"type": "MultiPolygon", "coordinates": [[[]]]}
    none = {"type": "GeometryCollection", "geometries": []}
    found = read(collection(*map(feature, [*empty, nested, none, None]), feature(polygon())))
    assert [each.place for each in found.features] == ["feature 9"]
    assert found.warnings == (
        "Left out, without a geometry: feature 1, feature 2, feature 3, feature 4, feature 5 "
        "and 3 more.",
    )
    assert_refused(collection(feature(None)), "no feature in it has a geometry")
    assert len(read(collection({"type": "Feature"}, feature(polygon()))).features) == 1


def test_an_empty_part_among_others_is_refused():
    value = {"type": "MultiPolygon", "coordinates": [[], [SQUARE]]}
    assert assert_refused(value, "has no ring").place == "feature 1, part 1"
    assert_refused({"type": "MultiPoint", "coordinates": [[], [1, 1]]}, "part 1, point 1: is not")
    assert_refused({"type": "MultiLineString", "coordinates": [[], [[0, 0], [1, 1]]]}, "has 0 of")


def test_just_out_of_range_is_not_rounded_into_it():
    assert_refused({"type": "Point", "coordinates": [180.0000001, 1]}, r"longitude 180\.0000001 is")


def test_collections_of_one_kind_become_a_multi():
    multi = {"type": "MultiPolygon", "coordinates": [[SQUARE], [SQUARE]]}
    members = {"type": "GeometryCollection", "geometries": [multi, polygon()]}
    (found,) = read(feature(members)).features
    assert found.geometry == {"type": "MultiPolygon", "coordinates": [[SQUARE]] * 3}


def test_heights_are_left_out_and_told():
    ring = [[x, y, 12.5] for x, y in SQUARE]
    found = read(polygon(ring))
    assert found.features[0].geometry == polygon()
    assert found.warnings == (
        "Heights in the file are not used: outlines are kept as seen from above.",
    )
    assert read(polygon([[x, y, 0] for x, y in SQUARE])).warnings == ()


def test_ids():
    features = read(
        collection(
            feature(polygon(), {"name": "a"}, id="z1"),
            feature(polygon(), {"id": "own"}, id=7),
            feature(polygon(), None, id=None),
        )
    ).features
    assert [each.properties for each in features] == [
        {"name": "a", "id": "z1"},
        {"id": "own"},
        {},
    ]


def test_attributes_are_cleaned_and_told():
    value = collection(
        feature(polygon(), {"name": "Ba\0ck"}), feature(polygon(), {"name": "B" * 300})
    )
    found = read(value)
    assert found.features[0].properties == {"name": "Back"}
    assert len(found.features[1].properties["name"]) == SITE.name_length
    assert found.warnings[0] == "Control characters were taken out of 'name': feature 1 \"Back\"."
    assert found.warnings[1].startswith("'name' was cut to 200 characters: feature 2")
    nameless = read(feature(polygon(), {"": 1, " \0": 2, "a": 3}))
    assert nameless.features[0].properties == {"a": 3}
    assert nameless.warnings == ("Left out, a value without a name: feature 1, feature 1.",)
    clash = feature(polygon(), {"a": 1, "a\0": 2})
    assert assert_refused(clash, "two attributes").place == "feature 1"


def named(name):
    return {"type": "name", "properties": {"name": name}}


def test_the_crs_member_of_2008():
    # GeoJSON 2008, section 3.1; RFC 7946, section 4, on why it is gone.
    found = read(polygon(GRID, crs=named("urn:ogc:def:crs:EPSG::27700")))
    assert found.crs == "EPSG:27700"
    assert found.warnings == (
        "The file says that its coordinates are in EPSG:27700, x (or longitude) first.",
    )
    for name in ("urn:ogc:def:crs:OGC:1.3:CRS84", "EPSG:4326", "urn:ogc:def:crs:EPSG::4979"):
        assert read(polygon(crs=named(name))).crs == "OGC:CRS84"
        assert_refused(polygon(GRID, crs=named(name)), "out of range")
    assert read(polygon(crs=named("EPSG:4258"))).crs == "EPSG:4258"
    assert_refused(polygon(GRID, crs=named("EPSG:4258")), "longitude 430000 is out of range")


@pytest.mark.parametrize(
    "member",
    [
        {"type": "link", "properties": {"href": "http://192.0.2.1/crs", "type": "proj4"}},
        {"type": "url", "properties": {"url": "http://192.0.2.1/crs"}},
        {"type": "link", "properties": {"name": "EPSG:27700"}},
        {"type": "EPSG", "properties": {"code": 27700}},
        {"type": "name", "properties": {"name": 27700}},
        {"type": "name"},
        "EPSG:27700",
        [],
    ],
)
def test_a_crs_that_is_not_a_name_is_never_fetched(member):
    assert_refused(polygon(crs=member), "does not name a CRS")


def test_an_unknown_crs_is_refused():
    assert_refused(polygon(crs=named("EPSG:999999")), "is not known")
    assert_refused(polygon(crs=named("+init=/etc/passwd:1")), "is not known")


def test_no_crs_is_said_by_null():
    assert read(polygon(GRID, crs=None)).crs is None
    assert read(polygon(GRID, crs=None), crs="EPSG:27700").crs == "EPSG:27700"


def test_the_crs_a_person_names():
    found = read(polygon(GRID), crs="EPSG:27700")
    assert found.crs == "EPSG:27700"
    assert found.warnings == ("The file names no CRS; EPSG:27700 was taken, as --crs says.",)
    assert read(polygon(GRID), crs="local").crs == "local"
    same = read(polygon(), crs="EPSG:4326")
    assert (same.crs, same.warnings) == ("OGC:CRS84", ())
    assert_refused(polygon(GRID), "out of range", crs="EPSG:4326")
    assert_refused(
        polygon(GRID, crs=named("EPSG:27700")), "--crs says 'EPSG:3857'", crs="EPSG:3857"
    )
    assert not isinstance(assert_refused(polygon(GRID)), CRSNeeded)


def test_the_one_layer():
    value = collection(feature(polygon()), feature(None))
    assert geojson.look(source(value)) == [Layer("plan", 2, ("Polygon",))]
    assert geojson.look(source({**value, "name": "Lawns"})) == [Layer("Lawns", 2, ("Polygon",))]
    assert len(read({**value, "name": "Lawns"}, layer="Lawns").features) == 1
    assert_refused(value, "no layer 'Lawns'", layer="Lawns")


@pytest.mark.slow
def test_limits():
    points = feature({"type": "MultiPoint", "coordinates": [[0, 0]] * SITE.vertices})
    assert len(read(points).features) == 1
    points["geometry"]["coordinates"].append([0, 0])
    assert_refused(points, "more than 200,000 vertices")
    many = [feature({"type": "Point", "coordinates": [0, 0]})] * SITE.zones
    assert len(read(collection(*many)).features) == SITE.zones
    assert_refused(collection(*many, many[0]), "more than 10,000 features")
    assert_refused(
        b'{"type": "Point", "coordinates": [' + b"1," * 2_000_000 + b"1]}", "2,000,000 values"
    )
