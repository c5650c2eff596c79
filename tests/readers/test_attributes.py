"""Attributes become plain values, and every change is told."""

import pytest

from lawnmap.errors import InputRefused
from lawnmap.readers import attributes


def test_plain_values_stay_as_they_are():
    given = {
        "a": 1,
        "b": 2.5,
        "c": True,
        "d": None,
        "e": "Süd 草坪 \u202e",
        "note": "one\n\ttwo\r\n",
    }
    assert attributes.clean(given) == (given, [])


def test_objects_and_lists_become_compact_json():
    cleaned, changes = attributes.clean({"a": {"é": [1, None]}, "b": []})
    assert cleaned == {"a": '{"é":[1,null]}', "b": "[]"}
    assert changes == []


def test_control_characters_are_taken_out_and_told():
    cleaned, changes = attributes.clean({"name": "a\0b\x1b[31m\x85", "x\x07": "y\x9f"})
    assert cleaned == {"name": "ab[31m", "x": "y"}
    assert changes == [
        "Control characters were taken out of 'name'",
        "Control characters were taken out of 'x'",
    ]


def test_a_name_stands_on_one_line():
    cleaned, changes = attributes.clean({"Name": "Back\nlawn"})
    assert cleaned == {"Name": "Back lawn"}
    assert len(changes) == 1


def test_long_names_are_cut_and_told():
    cleaned, changes = attributes.clean({"name": "x" * 201, "note": "x" * 201})
    assert {key: len(text) for key, text in cleaned.items()} == {"name": 200, "note": 201}
    assert changes == ["'name' was cut to 200 characters"]
    assert attributes.clean({"name": "x" * 200})[1] == []


def test_names_that_become_the_same_are_refused():
    with pytest.raises(InputRefused, match="two attributes are called 'ab'"):
        attributes.clean({"ab": 1, "a\0b": 2})


@pytest.mark.parametrize(
    ("properties", "place"),
    [
        ({}, "feature 3"),
        ({"name": ""}, "feature 3"),
        ({"name": 7}, "feature 3"),
        ({"NAME": " Back\tlawn\x07 "}, 'feature 3 "Back lawn"'),
        ({"name": "x" * 60}, f'feature 3 "{"x" * 39}…"'),
    ],
)
def test_places(properties, place):
    assert attributes.place("feature", 3, properties) == place
