import copy
import math

import pytest

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.store.features import FACTS, check_features, finite, whole
from tests.store.sites import zone

RING = [[0, 52], [1, 52], [1, 53], [0, 52]]
EXAMPLES = {
    "Point": [0.5, 52.5],
    "LineString": [[0, 52], [1, 52]],
    "MultiLineString": [[[0, 52], [1, 52]], [[0, 53], [1, 53]]],
    "Polygon": [RING],
    "MultiPolygon": [[RING], [RING]],
}


def feature(kind, form, coordinates=None, **properties):
    return {
        "type": "Feature",
        "properties": {
            "feature": kind,
            **({"zone_id": "a1"} if kind == "zone" else {}),
            **properties,
        },
        "geometry": {
            "type": form,
            "coordinates": copy.deepcopy(EXAMPLES[form] if coordinates is None else coordinates),
        },
    }


@pytest.mark.parametrize("kind", list(schema.FEATURES))
@pytest.mark.parametrize("form", list(EXAMPLES))
def test_each_kind_has_the_geometries_of_the_schema(kind, form):
    if form in schema.FEATURES[kind]:
        assert check_features([feature(kind, form)]) is None
    else:
        with pytest.raises(InputRefused, match="has the geometry"):
            check_features([feature(kind, form)])


def test_heights_and_rings_of_either_turn_are_fine():
    """RFC 7946, 3.1.1 and 3.1.6: a third number; no refusal for the turn of a ring."""
    tall = [[x, y, 12.5] for x, y in RING]
    assert check_features([feature("zone", "Polygon", [tall[::-1]])]) is None


@pytest.mark.parametrize(
    ("form", "coordinates", "says"),
    [
        ("Polygon", [[[0, 52], [1, 52], [1, 53], [0, 52.5]]], "part 1: the ring is not closed"),
        ("Polygon", [RING, [[0, 52], [1, 52], [0, 52]]], "part 2: the ring has fewer"),
        ("Polygon", [], "empty coordinates"),
        ("Polygon", [[]], "part 1: has empty coordinates"),
        ("Polygon", RING, "part 1, point 1: is not a position"),
        (
            "MultiPolygon",
            [[RING], [[[0, 52], [1, 52], [1, 95], [0, 52]]]],
            "part 2, part 1, point 3: is not a lon",
        ),
        ("Polygon", [[[0, 52], [1, "52"], [1, 53], [0, 52]]], "point 2: is not a position"),
        ("Polygon", [[[0, 52], [1, True], [1, 53], [0, 52]]], "point 2: is not a position"),
        ("Polygon", [[[0, 52], [1, math.nan], [1, 53], [0, 52]]], "point 2: is not a position"),
        ("Polygon", [[[0, 52], [398, 52], [1, 53], [0, 52]]], "a longitude and a latitude"),
        ("Polygon", [[[430000, 430000], [1, 2], [1, 3], [0, 5]]], "looks like metres"),
        ("Polygon", None, "empty coordinates"),
        ("Polygon", "ring", "empty coordinates"),
        ("Polygon", [[[0, 52, 1, 1]] * 4], "is not a position"),
        ("Polygon", [[[0]] * 4], "is not a position"),
    ],
)  # fmt: skip
def test_wrong_outlines_are_placed(form, coordinates, says):
    wrong = feature("zone", form, name="Back lawn")
    wrong["geometry"]["coordinates"] = coordinates
    with pytest.raises(InputRefused, match=says) as caught:
        check_features([feature("tree", "Point"), wrong])
    assert caught.value.place.startswith('feature 2, zone "Back lawn"')


def test_a_line_needs_two_points_and_a_point_one():
    with pytest.raises(InputRefused, match="fewer than 2"):
        check_features([feature("fence", "LineString", [[0, 52]])])
    with pytest.raises(InputRefused, match="not a position"):
        check_features([feature("tree", "Point", [[0, 52]])])


@pytest.mark.parametrize("wrong", [None, 3, [], {"type": "Point"}, {"type": "Feature"}])
def test_what_is_no_feature_is_placed(wrong):
    with pytest.raises(InputRefused) as caught:
        check_features([zone("a1"), wrong])
    assert caught.value.place == "feature 2"


@pytest.mark.parametrize("kind", [None, "lawn", 3, ["zone"]])
def test_a_feature_says_what_it_is(kind):
    wrong = zone("a1")
    wrong["properties"]["feature"] = kind
    with pytest.raises(InputRefused, match="does not say what it is") as caught:
        check_features([wrong])
    assert "zone, tree" in caught.value.remedy


@pytest.mark.parametrize("geometry", [None, [], {"type": "GeometryCollection"}, {}])
def test_a_feature_has_a_geometry_of_its_kind(geometry):
    with pytest.raises(InputRefused, match="has the geometry"):
        check_features([{**zone("a1"), "geometry": geometry}])


@pytest.mark.parametrize("zone_id", ["a", "A-1_b", "0", "x" * 32])
def test_good_ids(zone_id):
    assert check_features([zone(zone_id)]) is None


@pytest.mark.parametrize("zone_id", ["", "-a", "_a", "a b", "a.b", "é", "x" * 33, "a\n", 3, None])
def test_bad_ids(zone_id):
    wrong = zone("a1")
    wrong["properties"]["zone_id"] = zone_id
    with pytest.raises(InputRefused, match="not a short name"):
        check_features([wrong])


def test_an_id_stands_once():
    with pytest.raises(InputRefused, match="'a1' is that of feature 1 too") as caught:
        check_features([zone("a1"), zone("a2"), zone("a1")])
    assert caught.value.place.startswith("feature 3")


def test_every_number_in_the_schema_has_a_range():
    ranges = [(c.low, c.high) for table in FACTS.values() for c in table.values() if c.unit]
    assert ranges
    assert all(low is not None and high is not None and low < high for low, high in ranges)


@pytest.mark.parametrize("table", ["zone", "tree"])
def test_known_columns_have_their_type_and_range(table):
    form = "Polygon" if table == "zone" else "Point"
    for name, column in FACTS["zones" if table == "zone" else "features"].items():
        if column.unit:
            for good in (column.low, column.high, None):
                assert check_features([feature(table, form, **{name: good})]) is None
            for bad in (column.low - 1, column.high + 1, "3", True, [], math.inf):
                with pytest.raises(InputRefused, match=name):
                    check_features([feature(table, form, **{name: bad})])
        elif column.words and name != "feature":
            for good in (*column.words, "", None):
                assert check_features([feature(table, form, **{name: good})]) is None
            for bad in ("something else", 3, [column.words[0]]):
                with pytest.raises(InputRefused, match=name):
                    check_features([feature(table, form, **{name: bad})])


def test_text_columns_and_unknown_ones_are_left_alone():
    """A GIS that knows no lists writes them as text; that is kept, not judged."""
    odd = zone("a1", came_from='[ "a", "b" ]', grass="", anything={"a": [1]}, moss=True)
    assert check_features([odd]) is None


@pytest.mark.parametrize("value", [["rye"], {"a": 1}, 5, True])
def test_what_is_no_text_where_text_stands_is_named(value):
    with pytest.raises(InputRefused, match=r"grass is .*, not text"):
        check_features([zone("a1", grass=value)])


@pytest.mark.parametrize("day", ["soon", "2027-02-30", "20270301", "2027-W09-1", "0001-01-01"])
def test_what_is_no_day_is_named(day):
    with pytest.raises(InputRefused, match=r"fed_last is .*, not a day"):
        check_features([zone("a1", fed_last=day)])


def test_a_ring_that_is_flat_in_part_is_refused():
    """Shapely makes no ring of it; what a height is missing from is not known."""
    flat = zone("a1")
    flat["geometry"]["coordinates"][0][1].append(3.5)
    with pytest.raises(InputRefused, match="has a height where others have none") as caught:
        check_features([flat])
    assert caught.value.place.endswith("point 2")


@pytest.mark.parametrize(
    ("value", "is_whole", "is_finite"),
    [
        (1, True, True), (1.0, False, True), (True, False, False), (math.nan, False, False),
        (-math.inf, False, False), ("1", False, False), (None, False, False), (10**400, True, True),
    ],
)  # fmt: skip
def test_numbers(value, is_whole, is_finite):
    assert (whole(value), finite(value)) == (is_whole, is_finite)
