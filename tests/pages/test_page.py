from __future__ import annotations

import pytest

from lawnmap.pages import page
from lawnmap.pages.escape import Html, escape


@pytest.fixture
def template(monkeypatch):
    monkeypatch.setattr(page, "asset", lambda name: "<!--policy--><p>$one</p>$two")


def test_slots_are_filled_and_not_looked_at_again(template):
    filled = page.filled("any", {"one": escape("$two ${one} $$"), "two": Html("<b>")})
    assert filled.endswith("<p>$two ${one} $$</p><b>")


def test_text_nobody_escaped_is_refused(template):
    with pytest.raises(TypeError, match="'one' was not escaped"):
        page.filled("any", {"one": "<script>", "two": Html()})


@pytest.mark.parametrize("slots", [{"one": Html()}, {"one": Html(), "two": Html(), "x": Html()}])
def test_slots_must_match(template, slots):
    with pytest.raises(ValueError, match="do not match"):
        page.filled("any", slots)


def test_a_comment_cannot_be_ended():
    assert page.comment("licence") == "<!--\nlicence\n-->"
    with pytest.raises(ValueError, match="end the comment"):
        page.comment("a --> b")


def test_files_have_unix_newlines():
    for name in ("base.css", "map/map.css", "map/map.js", "map/map.html", "words.csv"):
        assert "\r" not in page.asset(name)
