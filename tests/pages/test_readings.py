"""Figures in three systems within a text, and what a forged one can do: show odd text."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy import unit_systems
from lawnmap.pages.escape import block, clean, escape, tag
from lawnmap.pages.readings import MARKS, SYSTEMS, reading, together

AREA = together(["10 m²", "12 sq yd", "108 sq ft"], "us")
MARKED = st.text(
    st.sampled_from("\ufdd0\ufdd1\ufdd2\ufdd3\ufdd4\ufdef<>&\"'` a\0\ud800"), max_size=40
)


class Reader(HTMLParser):
    """The elements and the text of markup, by the standard library's reader."""

    def __init__(self, markup: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(markup)
        self.close()

    def handle_starttag(self, name, attrs):
        self.tags.append((name, dict(attrs)))

    def handle_data(self, data):
        self.text += data


def test_the_systems_are_those_of_the_figures():
    assert SYSTEMS == unit_systems.SYSTEMS


def test_a_figure_alike_in_all_three_is_only_text():
    assert together(["4 h", "4 h", "4 h"], "us") == "4 h"


def test_one_reading_is_the_one_asked_for_or_the_first_shown():
    text = f"Lawn of {AREA}, {AREA} left"
    assert reading(text) == "Lawn of 108 sq ft, 108 sq ft left"
    assert reading(text, "imperial") == "Lawn of 12 sq yd, 12 sq yd left"


def test_an_element_holds_each_reading_once_and_nothing_for_none():
    degrees = together(["8 °C", "8 °C", "46.4 °F"], "metric")
    assert escape(degrees) == (
        '<span class="metric imperial">8 °C</span><span class="us">46.4 °F</span>'
    )
    beside = together(["", " (16.5 ft)", " (16.5 ft)"], "metric")
    assert tag("p", "5 m", beside) == '<p>5 m<span class="imperial us"> (16.5 ft)</span></p>'


def test_where_no_element_can_stand_the_first_reading_does():
    assert tag("p", aria_label=f"Lawn of {AREA}") == '<p aria-label="Lawn of 108 sq ft"></p>'
    assert tag("title", AREA) == "<title>108 sq ft</title>"
    assert tag("text", AREA) == "<text>108 sq ft</text>"


def test_a_reading_is_escaped_as_all_text_is():
    shown = escape(together(["<b>", "a & b", '"'], "metric"))
    assert [name for name, _ in Reader(shown).tags] == ["span"] * 3
    assert Reader(shown).text == '<b>a & b"'


@given(MARKED)
def test_marks_make_no_element_but_readings_and_leave_no_mark(text):
    reader = Reader(escape(text))
    assert {name for name, _ in reader.tags} <= {"span"}
    assert all(set(a["class"].split()) <= set(SYSTEMS) for _, a in reader.tags)
    assert not MARKS.search(reader.text)
    words = clean(text)
    assert reader.text == words or len(reader.text) < len(words)  # alike readings are shown once


@given(MARKED)
def test_an_attribute_holds_no_mark_and_ends_where_it_should(text):
    ((name, attributes),) = Reader(tag("p", title=text)).tags
    assert (name, set(attributes)) == ("p", {"title"})
    assert not MARKS.search(attributes["title"])


@given(MARKED)
def test_a_block_keeps_whole_figures_and_no_other_mark(text):
    inside = re.fullmatch(r"<script[^>]*>(.*)</script>", block("b", text))[1]
    assert inside.isascii()
    assert not set("<>&") & set(inside)
    assert not MARKS.search(reading(json.loads(inside), "us"))


def test_a_block_keeps_a_figure_as_it_is():
    inside = re.fullmatch(r"<script[^>]*>(.*)</script>", block("b", [f"\0{AREA}\ufdd4"]))[1]
    assert json.loads(inside) == [AREA]
