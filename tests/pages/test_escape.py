from __future__ import annotations

import json
import math
import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.pages.escape import (
    TEXT_ONLY,
    VOID,
    Html,
    block,
    clean,
    escape,
    join,
    json_text,
    said,
    tag,
)
from lawnmap.pages.readings import together

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
    assert said("<") == "<bdi>&lt;</bdi>"


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


def test_the_five_signs_and_the_backquote_are_escaped():
    assert escape("<a href='b' title=\"c\">&`") == (
        "&lt;a href=&#x27;b&#x27; title=&quot;c&quot;&gt;&amp;&#96;"
    )
    assert type(escape("a")) is Html
    assert escape(7) == "7"
    assert escape(None) == "None"
    made = Html("<b>")
    assert escape(made) is made


# WHATWG HTML, 13.2.3.5 and 3.2.1.1: what a page cannot hold, and its neighbours, which it can.
UNFIT = (0, 1, 8, 11, 12, 14, 0x1F, 0x7F, 0x80, 0x9F, 0xFDD0, 0xFDEF, 0xFFFE, 0xFFFF)
FIT = (0x9, 0xA, 0x20, 0x7E, 0xA0, 0xFDCF, 0xFDF0, 0xFFFD, 0x1FFFE)


@pytest.mark.parametrize("code", UNFIT)
def test_what_a_page_cannot_hold_is_left_out(code):
    assert clean(f"a{chr(code)}b") == "ab"


@pytest.mark.parametrize("code", FIT)
def test_all_else_stays(code):
    assert clean(f"a{chr(code)}b") == f"a{chr(code)}b"


@pytest.mark.parametrize("code", [0xD800, 0xDBFF, 0xDC00, 0xDFFF])
def test_half_a_character_becomes_the_mark_of_one(code):
    char = chr(code)
    assert clean(f"a{char}b") == "a\ufffdb"
    assert json_text([char, {char: char}], ascii_only=False) == '["\ufffd",{"\ufffd":"\ufffd"}]'


def test_every_end_of_line_is_one_sign():
    assert clean("a\r\nb\rc\nd\n\re") == "a\nb\nc\nd\n\ne"


def test_a_mark_between_the_halves_of_an_end_is_taken_out_with_it():
    assert clean("a\0\r\n") == "a\n"


def test_parts_are_joined_by_what_is_said():
    assert join(["a", 1, Html("<b>")], "<") == "a&lt;1&lt;<b>"
    assert join([], "-") == ""
    assert join(iter(["a", "b"])) == "ab"
    assert type(join([])) is Html


def test_elements_that_hold_nothing_have_no_end():
    assert {"br", "hr", "input", "meta"} == VOID
    assert tag("br", class_="x") == '<br class="x">'
    assert tag("p") == "<p></p>"
    assert type(tag("br")) is type(tag("p")) is Html


@pytest.mark.parametrize("name", sorted(TEXT_ONLY))
def test_elements_that_hold_text_only_get_one_reading(name):
    figure = together(["10 m²", "12 sq yd", "108 sq ft"], "us")
    assert tag(name, figure, "<", Html("&amp;")) == f"<{name}>108 sq ft&lt;&amp;</{name}>"
    assert tag("p", figure).count("<span") == 3
    assert {"title", "option", "textarea", "text", "tspan"} == TEXT_ONLY


def test_names_of_attributes_are_written_as_html_has_them():
    assert tag("i", class_="a", stroke_width=2, data_x_="b", data_no=False, zone_id=None) == (
        '<i class="a" stroke-width="2" data-x="b"></i>'
    )
    assert (
        tag("i", aria_label="a\"b'c", hidden=True) == '<i aria-label="a&quot;b&#x27;c" hidden></i>'
    )
    assert tag("i", n=0) == '<i n="0"></i>'


@pytest.mark.parametrize(
    "name",
    [
        "on", "onx", "OnClick", "Style", "SRCSET", "formaction", "data", "ping", "background",
        "1a", "-a", "", "a=b", "a>", "a/b", "é", "a.b", 'a"',
    ],
)  # fmt: skip
def test_no_attribute_that_does_something(name):
    with pytest.raises(ValueError, match="is not allowed in a page"):
        tag("p", **{name: "x"})
    if name:
        assert tag("p", **{name: None}) == "<p></p>"  # what is not there needs no leave


@pytest.mark.parametrize("name", ["done", "zone", "styles", "database", "data_on", "x_src"])
def test_attributes_that_only_look_like_one(name):
    assert tag("p", **{name: "x"}) == f'<p {name.replace("_", "-")}="x"></p>'


@pytest.mark.parametrize("name", ["href", "HREF", "hReF"])
def test_a_link_leads_into_the_page(name):
    assert tag("a", **{name: "#a b"}) == f'<a {name}="#a b"></a>'
    for address in ("", "x#y", " #a", "//a", "https://a", "JavaScript:alert(1)"):
        with pytest.raises(ValueError, match="a page links to places in itself only"):
            tag("a", **{name: address})


def test_a_block_by_hand():
    assert block("<i>", {"a": "</script>&é"}) == (
        '<script type="application/json" id="&lt;i&gt;">'
        '{"a":"\\u003c/script\\u003e\\u0026\\u00e9"}</script>'
    )
    assert type(block("i", 1)) is Html


def test_json_of_every_kind_of_value():
    value = {1: (1.5, math.inf), "a": [True, None, 7], "b": {"c": [-math.inf, "x\0"]}, "d": 2}
    assert json_text(value) == '{"1":[1.5,null],"a":[true,null,7],"b":{"c":[null,"x"]},"d":2}'
    assert json_text("é") == '"\\u00e9"'
    assert json_text("é", ascii_only=False) == '"é"'
    assert json_text((1, 2)) == json_text([1, 2]) == "[1,2]"
    assert json_text([]) == "[]"
