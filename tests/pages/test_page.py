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


def test_what_does_not_match_is_named(template):
    with pytest.raises(ValueError, match=r"any: slots \['two', 'x'\] do not match"):
        page.filled("any", {"one": Html(), "x": Html()})
    with pytest.raises(TypeError, match="any: the slot 'two' was not escaped"):
        page.filled("any", {"one": Html(), "two": str(Html("<b>"))})


def test_our_own_style_and_script():
    assert page.style("p{}", "b{}") == "<style>\np{}\nb{}\n</style>"
    assert page.script("1", "2") == "<script>\n1\n2\n</script>"
    for made in (page.style(""), page.script(""), page.comment("")):
        assert type(made) is Html


@pytest.mark.parametrize("text", [">", "> a", "--", "a--b", "a--", "<!--"])
def test_no_comment_ends_early(text):
    with pytest.raises(ValueError, match=r"^the text would end the comment it stands in$"):
        page.comment(text)
    assert page.comment("a > b - c") == "<!--\na > b - c\n-->"


def test_every_page_begins_alike_in_its_language_with_its_policy(monkeypatch):
    texts = {"top.html": f"<html lang={page.LANGUAGE}><!--policy-->", "any": page.TOP + "$one"}
    monkeypatch.setattr(page, "asset", texts.__getitem__)
    slots = {"one": Html("<script>1</script>")}
    made = page.filled("any", slots, language="de", images_from="tiles.example.org")
    assert made.startswith("<html lang=de><meta http-equiv=")
    assert "img-src data: https://tiles.example.org;" in made
    assert made.endswith('"><script>1</script>')
    assert type(made) is Html
    other = page.filled("any", slots)
    assert other.startswith("<html lang=en>")
    assert "img-src data:;" in other


def test_a_file_comes_with_the_package():
    assert page.asset("top.html").startswith("<!DOCTYPE html>\n")
    assert page.LANGUAGE in page.asset("top.html")


def test_an_asset_is_utf_8_with_plain_ends_of_line(monkeypatch):
    class Found:
        def joinpath(self, name):
            assert name == "one of ours"
            return self

        def read_bytes(self):
            return "é\r\nb\rc\n".encode()

    packages = []
    monkeypatch.setattr(page, "files", lambda package: packages.append(package) or Found())
    assert page.asset.__wrapped__("one of ours") == "é\nb\nc\n"
    assert packages == ["lawnmap.pages"]
