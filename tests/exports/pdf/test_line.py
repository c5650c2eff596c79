"""Lines of words: none too long, none lost, each blank as long as its line leaves it."""

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.exports.pdf.document import opened
from lawnmap.exports.pdf.line import narrowest, wrapped
from lawnmap.exports.pdf.looks import LOOKS, Type
from lawnmap.exports.pdf.tree import read
from lawnmap.exports.pdf.word import Words
from lawnmap.pages.escape import join, tag


@pytest.fixture(scope="module")
def document():
    with opened("A4", landscape=False, title="", language="en", made=dt.date(2026, 1, 1)) as made:
        yield made


def taken(document, *parts):
    return Words(document, LOOKS, {}).of(read(str(join(parts)).encode()).children, Type())


def said(line):
    return "".join(" " * (each.space > 0 and place > 0) + each.text
                   for place, each in enumerate(line.words))  # fmt: skip


def test_white_space_is_one_space_and_a_no_break_space_holds(document):
    words = taken(document, "  10\u00a0kg \n of\t seed  ")
    assert [each.text for each in words] == ["10\u00a0kg", "of", "seed"]


def test_what_hangs_on_a_word_goes_with_it_to_the_next_line(document):
    words = taken(document, "Mow the ", tag("strong", "orchard"), ", then ", tag("bdi", "rake"))
    lines = wrapped(words, document, narrowest(words) + 0.1)
    assert [said(each) for each in lines if "orchard" in said(each)] == ["orchard,"]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text("abcé ", min_size=1, max_size=30), max_size=12), st.floats(4, 90))
def test_no_line_is_longer_than_its_room_and_no_letter_is_lost(document, texts, room):
    lines = wrapped(taken(document, *texts), document, room)
    assert all(each.width <= room + 1e-6 for each in lines)
    assert "".join(map(said, lines)).replace(" ", "") == "".join(texts).replace(" ", "")


def test_an_accent_stays_with_its_letter(document):
    lines = wrapped(taken(document, "e\u0301" * 40), document, 12.0)
    assert len(lines) > 3
    assert all(said(each)[0] == "e" for each in lines)


def test_names_are_runs_of_their_own(document):
    words = taken(document, tag("bdi", "אב"), ": ", tag("bdi", "גד"), " 12")
    assert len({each.run for each in words}) == 3
    assert [each.run for each in words][1] == [each.run for each in words][3]


def test_a_pill_is_as_wide_for_one_figure_as_for_two(document):
    one, two = (taken(document, tag("span", each, class_="pill"))[0] for each in ("1", "12"))
    assert one.whole == pytest.approx(two.whole, rel=0.15)
    assert one.whole > 1.8 * one.how.em


def test_a_break_ends_a_line(document):
    lines = wrapped(taken(document, "a", tag("br"), "b"), document, 100.0)
    assert [said(each) for each in lines] == ["a", "b"]
