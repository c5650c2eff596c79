"""What the page may send, member by member: taken as it is, or refused with what was wanted."""

import base64
import math

import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.processing.editing.marking import MOST_CORNERS
from lawnmap.web.body import LONGEST_KEY, LONGEST_M, MOST_STROKE, Body

HERE = [-1.5, 53.8]
FEATURE = {"type": "Feature", "properties": {}, "geometry": {}}
NAN = math.nan


def test_the_longest_side_and_stroke():
    assert (LONGEST_M, MOST_STROKE, LONGEST_KEY) == (5_000.0, 500, 200)


@pytest.mark.parametrize("given", [None, [], "{}", 7])
def test_only_an_object_is_a_request(given):
    with pytest.raises(InputRefused) as caught:
        Body(given)
    assert caught.value.problem == "the request is not an object"


TAKEN = [
    ("text", {"x": ""}, ("x",), ""),
    ("text", {"x": "k" * 200}, ("x",), "k" * 200),
    ("text", {}, ("x", "usual"), "usual"),
    ("text", {"data": "k" * 201}, ("data",), "k" * 201),  # base64 may be long
    ("whole", {"x": 7}, ("x",), 7),
    ("whole", {"x": -7}, ("x",), -7),
    ("number", {"x": 2}, ("x", 2), 2.0),
    ("number", {"x": -2.0}, ("x", 2), -2.0),
    ("position", {"x": HERE}, ("x",), (-1.5, 53.8)),
    ("position", {"x": [180, -90, 12.5]}, ("x",), (180.0, -90.0)),
    ("feature", {"feature": FEATURE}, (), FEATURE),
    ("feature", {"x": FEATURE}, ("x",), FEATURE),
    ("features", {"x": {"a": FEATURE}}, ("x",), {"a": FEATURE}),
    ("features", {"x": {"k" * 200: FEATURE}}, ("x",), {"k" * 200: FEATURE}),
    ("changes", {"changes": {"a": FEATURE, "b": None}}, (), {"a": FEATURE, "b": None}),
    ("choices", {}, (), {}),
    ("choices", {"choices": {"a": {"name": "mine"}}}, (), {"a": {"name": "mine"}}),
    ("choices", {"choices": {"a": {"n": "theirs"}}}, (), {"a": {"n": "theirs"}}),
    ("taken", {}, (), set()),
    ("taken", {"taken": ["a", "b", "a"]}, (), {"a", "b"}),
    ("data", {"data": base64.b64encode(b"\0\xff").decode()}, (), b"\0\xff"),
    ("data", {"x": ""}, ("x",), b""),
]


@pytest.mark.parametrize(("method", "given", "arguments", "value"), TAKEN)
def test_what_is_taken(method, given, arguments, value):
    found = getattr(Body(given), method)(*arguments)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize("value", [0.0, 2.0, 0, 2])
def test_a_number_from_somewhere_on(value):
    assert Body({"x": value}).number("x", 2.0, least=0.0) == value


def test_a_line_and_a_ring():
    corners = [[0, 50], [1, 50], [1, 51], [0, 50]]
    line = Body({"x": corners}).line("x")
    assert list(line.coords) == [(0, 50), (1, 50), (1, 51), (0, 50)]
    assert Body({"x": corners[:2]}).line("x").geom_type == "LineString"
    for ring in (corners, corners[:3]):  # closed or not
        assert (
            Body({"x": ring})
            .ring("x")
            .equals_exact(shapely.Polygon([(0, 50), (1, 50), (1, 51)]), 0)
        )
    assert len(Body({"x": [HERE] * 500}).line("x").coords) == 500


SHORT_TEXT = "is not a short text"
WHOLE = "is not a whole number"
PLACE = "is not a longitude and a latitude"
WANTED_FEATURE = "is not a GeoJSON feature"
BY_KEY = "is not an object by key"
SIDES = 'is not "mine" or "theirs" by key and field'
TEXTS = "is not a list of texts"
BASE64 = "is not base64"
LINE = "is not a list of 2 to 500 positions"
RING = f"is not a list of 3 to {MOST_CORNERS:,} positions"
REFUSED = [
    ("text", None, SHORT_TEXT),
    ("text", 7, SHORT_TEXT),
    ("text", "k" * 201, SHORT_TEXT),
    ("whole", True, WHOLE),
    ("whole", 1.0, WHOLE),
    ("whole", "1", WHOLE),
    ("whole", None, WHOLE),
    ("position", None, PLACE),
    ("position", [1], PLACE),
    ("position", [1, 2, 3, 4], PLACE),
    ("position", (1, 2), PLACE),
    ("position", [True, 2], PLACE),
    ("position", [NAN, 2], PLACE),
    ("position", [1, 2, math.inf], PLACE),
    ("position", [180.1, 0], PLACE),
    ("position", [0, -90.1], PLACE),
    ("feature", None, WANTED_FEATURE),
    ("feature", [], WANTED_FEATURE),
    ("feature", {"properties": {}}, WANTED_FEATURE),
    ("feature", {"geometry": {}}, WANTED_FEATURE),
    ("feature", {"properties": [], "geometry": {}}, WANTED_FEATURE),
    ("feature", {"properties": {}, "geometry": None}, WANTED_FEATURE),
    ("features", None, BY_KEY),
    ("features", [FEATURE], BY_KEY),
    ("features", {"k" * 201: FEATURE}, BY_KEY),
    ("features", {"a": None}, WANTED_FEATURE),
    ("changes", {"a": 7}, WANTED_FEATURE),
    ("choices", None, BY_KEY),
    ("choices", {"a": "mine"}, SIDES),
    ("choices", {"a": {"name": "ours"}}, SIDES),
    ("choices", {"a": {"name": "mine", "note": ""}}, SIDES),
    ("choices", {"a": {"name": "mine"}, "b": None}, SIDES),
    ("taken", "ab", TEXTS),
    ("taken", ["a", 1], TEXTS),
    ("taken", None, TEXTS),
    ("data", "!", BASE64),
    ("data", "AA", BASE64),
    ("data", "AA==\n", BASE64),
    ("data", "é", BASE64),
    ("line", None, LINE),
    ("line", [HERE], LINE),
    ("line", [HERE] * 501, LINE),
    ("line", [HERE, [NAN, 0]], PLACE),
    ("ring", [HERE] * 2, RING),
    ("ring", [HERE] * (MOST_CORNERS + 1), RING),
]


@pytest.mark.parametrize(("method", "value", "told"), REFUSED)
def test_what_is_refused(method, value, told):
    with pytest.raises(InputRefused) as caught:
        getattr(Body({"x": value}), method)("x")
    assert (caught.value.problem, caught.value.place) == (told, "x")


@pytest.mark.parametrize("value", [None, "1", True, NAN, math.inf, 2.5, -2.5])
def test_a_number_out_of_bounds_is_refused(value):
    with pytest.raises(InputRefused) as caught:
        Body({"x": value}).number("x", 2.0)
    assert (caught.value.problem, caught.value.place) == ("is not a number from -2 to 2", "x")
    with pytest.raises(InputRefused) as caught:
        Body({"x": -0.5}).number("x", 2.5, least=0.0)
    assert caught.value.problem == "is not a number from 0 to 2.5"


def test_what_is_left_out_is_not_taken_for_something():
    for method in ("text", "whole", "position", "line", "ring", "feature", "features", "changes"):
        with pytest.raises(InputRefused):
            getattr(Body({}), method)("x")
