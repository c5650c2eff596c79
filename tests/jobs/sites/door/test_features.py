"""Texts of features: good ones as they are, and every way in which one can be none."""

import json

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.jobs.sites.door import drawn, features
from lawnmap.jobs.sites.door.trouble import Trouble
from tests.jobs.sites.door.tables import feature, square

BOX = [[-2, 53], [-1.9, 53], [-1.9, 53.1], [-2, 53]]
HOLE = [[-1.95, 53.01], [-1.94, 53.01], [-1.94, 53.02], [-1.95, 53.01]]


def said(text):
    """Return what is wrong with one text."""
    trouble = Trouble(1)
    found = features.parsed([text], trouble)
    features.shapes(found, trouble)
    (skipped,) = trouble.skipped(np.array([1]), np.array(["S"], object), np.array(["Z"], object))
    return f"{skipped.column}: {skipped.reason}"


def polygon(*rings, kind="Polygon"):
    return json.dumps(feature(0, {"type": kind, "coordinates": list(rings)})).encode()


@pytest.fixture(params=["orjson", "json"])
def _parser(request, monkeypatch):
    if request.param == "json":
        monkeypatch.setattr(features, "_loads", features._by_the_library)
    else:
        pytest.importorskip("orjson")


@pytest.mark.usefixtures("_parser")
@pytest.mark.parametrize(
    ("text", "reason"),
    [
        (b"{", ": it is not JSON"),
        (b'{"type": "Feature"', ": it is not JSON"),
        (b"null", "not a GeoJSON feature"),
        (b"[1]", "not a GeoJSON feature"),
        (b'{"type": "Point", "coordinates": [0, 0]}', "not a GeoJSON feature"),
        (b'{"type": "Feature", "properties": [1]}', "properties are not an object"),
        (b'{"type": "Feature", "crs": {}}', "names a CRS of its own"),
        (b'{"type": "Feature", "properties": {"name": "\xff"}}', ": it"),
        (b'{"type": "Feature", "properties": {"x": NaN}}', ": "),
        (b"[" * 3_000_000, ": it"),
        (b'{"a":' * 2_000_000, ": it"),
        (None, "longer than 8,000,000 bytes"),
    ],
)
def test_texts_that_are_no_features(text, reason):
    assert reason in said(text)


@pytest.mark.usefixtures("_parser")
@pytest.mark.parametrize(
    ("text", "reason"),
    [
        (polygon(BOX[:3]), "ring 1: has 3 of the 4 points"),
        (polygon([*BOX[:-1], [0, 0]]), "ring 1: the ring does not end where it begins"),
        (polygon(BOX, [*HOLE[:-1], [0, 0]]), "ring 2: the ring does not end"),
        (polygon([*BOX[:2], ["-1.9", 53.1], BOX[3]]), "ring 1, point 3: x is not a number"),
        (polygon([*BOX[:2], [True, 53.1], BOX[3]]), "ring 1, point 3: x is not a number"),
        (polygon([*BOX[:2], [53.1], BOX[3]]), "point 3: is not a pair of numbers"),
        (polygon([*BOX[:2], None, BOX[3]]), "point 3: is not a pair of numbers"),
        (polygon([*BOX[:2], [10 ** 400, 53], BOX[3]]), ": it"),
        (polygon(1, 2), "coordinates are not nested"),
        (polygon("abcd"), "not nested"),
        (polygon({"a": 1}), "not nested"),
        (polygon(BOX, kind="MultiPolygon"), "part 1, ring 1: has 2 of the 4"),
        (polygon([BOX]), "ring 1: has 1 of the 4 points"),
        (polygon(53, kind="Point"), "point 1: is not a pair of numbers"),
        (polygon(*BOX[:1], kind="LineString"), "has 1 of the 2 points"),
        (polygon(BOX, BOX[:1], kind="MultiLineString"), "part 2: has 1 of the 2 points"),
        (polygon(*BOX, kind="MultiPoint"), "is a MultiPoint, which is not read"),
        (json.dumps(feature(0, {"type": "GeometryCollection", "geometries": []})).encode(),
         "is a GeometryCollection"),
        (json.dumps(feature(0, [1])).encode(), "its shape has no type"),
        (json.dumps(feature(0, {"type": "Polygon"})).encode(), "not nested"),
    ],
)  # fmt: skip
def test_shapes_that_are_no_outlines(text, reason):
    assert reason in said(text)


def test_one_bad_shape_does_not_touch_the_others():
    texts = [json.dumps(feature(0)).encode(), polygon(BOX[:3]), polygon(BOX, HOLE)]
    trouble = Trouble(3)
    found = features.shapes(features.parsed(texts, trouble), trouble)
    assert trouble.bad.tolist() == [False, True, False]
    assert found[0].equals(square(0))
    assert found[2].equals(shapely.Polygon(BOX, [HOLE]))


def test_parts_holes_heights_and_nothing():
    shape = shapely.MultiPolygon([shapely.Polygon(BOX, [HOLE]), square(500)])
    high = [[[*point, 80] for point in BOX]]
    texts = [
        {"type": "Feature", "properties": None, "geometry": shapely.geometry.mapping(shape)},
        feature(1, {"type": "Polygon", "coordinates": high}),
        feature(2, {"type": "Polygon", "coordinates": []}),
        feature(3, {"type": "MultiPolygon", "coordinates": []}),
        {"type": "Feature", "geometry": None},
    ]
    trouble = Trouble(5)
    found = features.shapes(
        features.parsed([json.dumps(t).encode() for t in texts], trouble), trouble
    )
    assert found[0].equals(shape)
    assert found[1].equals(shapely.Polygon(BOX))
    assert [each is None for each in found[2:]] == [True] * 3
    assert not trouble.bad.any()


def test_columns_of_one_kind_each():
    rows = [
        {"moss_rating": 3, "name": "a", "zone_id": 1},
        {"moss_rating": "2", "name": None, "zone_id": 2.0},
        {"moss_rating": None, "name": 4.5, "zone_id": "B"},
        {"moss_rating": True, "name": [1], "zone_id": 10**40},
    ]
    trouble = Trouble(4)
    found = features.columns(rows, ("moss_rating", "name", "zone_id"), trouble)
    assert found["moss_rating"].to_pylist() == ["3", "2", None, None]
    assert found["name"].to_pylist() == ["a", None, "4.5", None]
    assert found["zone_id"].to_pylist() == ["1", "2", "B", None]
    assert trouble.bad.tolist() == [False, False, False, True]


def test_half_a_character_is_told_of_that_zone():
    trouble = Trouble(2)
    found = features.columns([{"name": "\ud83d"}, {"name": "Bank"}], ("name",), trouble)
    assert found["name"].to_pylist() == [None, "Bank"]
    assert trouble.bad.tolist() == [True, False]


POINTS = st.tuples(st.floats(-180, 180), st.floats(-90, 90))


@given(st.lists(st.lists(POINTS, min_size=3, max_size=6), min_size=1, max_size=4))
def test_coordinates_come_as_they_are_written(rings):
    closed = [[*ring, ring[0]] for ring in rings]
    trouble = Trouble(1)
    (found,) = features.shapes(features.parsed([polygon(*closed)], trouble), trouble)
    assert not trouble.bad.any()
    assert np.array_equal(shapely.get_coordinates(found), np.concatenate(closed))


@given(st.binary(max_size=40) | st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False) | st.text(max_size=3),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(
        st.sampled_from(["type", "coordinates", "properties", "geometry", "id"]), inner),
    max_leaves=12,
))  # fmt: skip
def test_nothing_but_trouble_comes_of_nonsense(value):
    text = value if isinstance(value, bytes) else json.dumps(feature(0, value)).encode()
    trouble = Trouble(1)
    found = features.parsed([text], trouble)
    shapes = features.shapes(found, trouble)
    columns = features.columns(features.properties(found, {"name": "name"}), ("name",), trouble)
    assert len(shapes) == len(columns["name"]) == 1
    assert trouble.bad[0] or shapes[0] is None or shapes[0].geom_type in drawn.MAKERS
