from __future__ import annotations

import json
import math
import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.pages.escape import Html, block, clean, escape, join, said, tag

HALF = "\ud800"


class Reader(HTMLParser):
    """An HTML reader that is not ours: the standard library's."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.text += data


def read(markup: str) -> Reader:
    reader = Reader()
    reader.feed(markup)
    reader.close()
    return reader


@given(st.text())
def test_text_comes_back_as_typed_and_makes_no_element(text):
    reader = read(tag("p", text))
    assert reader.text == clean(text)
    assert [name for name, _ in reader.tags] == ["p"]


@given(st.text())
def test_an_attribute_comes_back_as_typed_and_makes_no_other(text):
    reader = read(tag("p", title=text))
    assert reader.tags == [("p", {"title": clean(text)})]


@given(st.recursive(st.none() | st.booleans() | st.text() | st.integers(), st.lists))
def test_a_block_is_ascii_without_markup_and_reads_back(value):
    text = re.fullmatch(r'<script type="application/json" id="b">(.*)</script>', block("b", value))
    assert text is not None
    inside = text[1]
    assert inside.isascii()
    assert not set("<>&") & set(inside)
    assert json.loads(inside) == json.loads(json.dumps(value), object_hook=None) or has_unfit(value)


def has_unfit(value) -> bool:
    """Tell whether cleaning changes any text of a value."""
    if isinstance(value, str):
        return clean(value) != value
    return isinstance(value, list) and any(has_unfit(each) for each in value)


def test_numbers_json_does_not_have_become_null():
    assert '{"a":[null,null,1.5]}' in block("b", {"a": [math.nan, -math.inf, 1.5]})


def test_controls_are_dropped_and_half_a_character_is_replaced():
    assert clean("a\0b\x1b[31mc\r\nd") == "ab[31mc\nd"
    assert escape(HALF).encode("utf-8") == "\ufffd".encode()


def test_markup_is_not_escaped_twice():
    inner = tag("b", "<")
    assert tag("p", inner) == "<p><b>&lt;</b></p>"
    assert join([inner, "<"], "&") == "<b>&lt;</b>&amp;&lt;"
    assert isinstance(said("x"), Html)


@pytest.mark.parametrize("name", ["onclick", "ONLOAD", "style", "src", "srcdoc", "action", "a b"])
def test_attributes_that_run_style_or_fetch_are_refused(name):
    with pytest.raises(ValueError, match="not allowed"):
        tag("a", **{name: "x"})


def test_a_page_links_into_itself_only():
    assert tag("a", href="#zone") == '<a href="#zone"></a>'
    with pytest.raises(ValueError, match="itself"):
        tag("a", href="javascript:alert(1)")


def test_true_false_and_none_attributes():
    assert tag("input", checked=True, disabled=False, value=None) == "<input checked>"
