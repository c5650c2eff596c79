"""JSON as I-JSON has it: what RFC 8259 and RFC 7493 leave open, and what they forbid."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.files import json_text

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**15), 10**15) | TEXTS
    | st.floats(allow_nan=False, allow_infinity=False),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=20,
)  # fmt: skip


@given(VALUES)
def test_what_is_written_reads_back(value):
    text = json_text.dumps(value)
    assert json_text.loads(text.encode(), name="a.json") == value
    assert json.loads(text) == value  # the standard parser agrees


def test_a_mark_is_passed_over():
    # RFC 8259, section 8.1: a parser may ignore a byte-order mark.
    assert json_text.loads(b"\xef\xbb\xbf[1]", name="a.json") == [1]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        # RFC 8259, section 6: numeric values that are not digits are not permitted.
        (b"[NaN]", "NaN is not a number"),
        (b"[-Infinity]", "-Infinity is not a number"),
        (b"[1e400]", "1e400 is too large"),
        (b"[" + b"7" * 6000 + b"]", "too many digits"),
        # RFC 7493, section 2.3: no member names that are the same.
        (b'{"a": 1, "a": 2}', "key 'a' stands twice"),
        # RFC 7493, section 2.1: no surrogates that are not paired.
        (b'["\\ud800"]', "half a character"),
        (b'{"\\udc00": 1}', "half a character"),
        (b"[" * 65 + b"]" * 65, "more than 64 deep"),
        (b"[" * 200_000, "more than 64 deep"),
        (b'{"a":' * 900 + b"1" + b"}" * 900, "more than 64 deep"),
        (b'["caf\xe9"]', "Latin-1"),
        ("[1]".encode("utf-16"), "UTF-16"),
        (b"[1] [2]", "Extra data"),
        (b"[01]", "is not JSON"),
        (b"[1,]", "is not JSON"),
        (b"['a']", "is not JSON"),
        (b"\x1e[1]", "is not JSON"),
    ],
)
def test_what_is_refused(text, told):
    with pytest.raises(InputRefused, match=told) as caught:
        json_text.loads(text, name="plan.geojson")
    assert caught.value.file == "plan.geojson"
    assert caught.value.remedy


def test_the_line_is_told():
    with pytest.raises(InputRefused) as caught:
        json_text.loads(b'{"a": 1,\n "b": }', name="a.json")
    assert caught.value.place == "line 2, column 7"


def test_the_deepest_allowed_is_allowed():
    assert json_text.loads(b"[" * 64 + b"]" * 64, name="a.json") == json.loads("[" * 64 + "]" * 64)


def test_nan_is_never_written():
    with pytest.raises(ValueError, match="JSON"):
        json_text.dumps({"area": float("nan")})


def test_how_it_is_written():
    value = {"é": [1, 2.5], "a": None}
    assert json_text.dumps(value) == '{"é":[1,2.5],"a":null}'
    assert json_text.dumps(value, indent=1) == '{\n "é": [\n  1,\n  2.5\n ],\n "a": null\n}'


def test_the_longest_number_and_the_depth_of_every_kind():
    assert json_text.loads(b"[" + b"7" * 30 + b"]", name="a") == [int("7" * 30)]
    assert json_text.loads(b"-" + b"7" * 29, name="a") == -int("7" * 29)
    assert json_text.loads(b'{"a": [{"b": 1}]}', name="a", nesting=3) == {"a": [{"b": 1}]}
    for deep in (b'{"a": [{"b": {}}]}', b'[[{"a": []}]]', b'{"a": {"b": {"c": [1]}}}'):
        with pytest.raises(InputRefused, match="more than 3 deep"):
            json_text.loads(deep, name="a", nesting=3)


def test_half_a_character_is_found_wherever_it_stands():
    for text in (b'[1, {"a": [2, "\\udc00"]}]', b'{"a": {"\\udc00": 1}}', b'"\\udc00"'):
        with pytest.raises(InputRefused, match=r"'\\\\udc00' holds half") as caught:
            json_text.loads(text, name="a.json")
        assert caught.value.file == "a.json"
    long = b'["' + b"x" * 100 + b'\\udc00"]'
    with pytest.raises(InputRefused, match=r"'x{60}' holds half"):
        json_text.loads(long, name="a.json")


def test_the_key_that_stands_twice_is_named_though_others_stand_once():
    with pytest.raises(InputRefused, match="the key 'b' stands twice"):
        json_text.loads(b'{"a": 1, "b": 2, "c": 3, "b": 4}', name="a.json")
