"""The checker of links finds planted faults, and nothing else."""

import sys
from pathlib import Path

import pytest

WEBSITE = Path(__file__).parents[2] / "docs" / "website"


@pytest.fixture(scope="module")
def links():
    sys.path.insert(0, str(WEBSITE))
    import links

    yield links
    sys.path.remove(str(WEBSITE))


@pytest.fixture
def site(tmp_path):
    """Return a small site without a fault."""
    (tmp_path / "rules").mkdir()
    (tmp_path / "a b.css").write_text("")
    (tmp_path / "index.html").write_text(
        '<link rel="stylesheet" href="a%20b.css?v=1"><h1 id="top">Home</h1>'
        '<a href="#top">up</a><a href="rules/one.html#s%C3%A4en">one</a><a href="">here</a>'
        '<a href="https://example.org/a?b#c">out</a><a href="mailto:owner@example.org">write</a>'
    )
    (tmp_path / "rules" / "one.html").write_text(
        '<p id="säen"><a href="../index.html">home</a><img src="data:image/png;base64,AA==" alt="">'
    )
    return tmp_path


def faults(links, site):
    return {(each.page, each.target, each.why) for each in links.check(site).faults}


def test_a_whole_site_has_no_fault(links, site):
    found = links.check(site)
    assert found.faults == ()
    assert (found.pages, found.links) == (2, 8)
    assert found.outside == ("https://example.org/a?b#c",)


NO_FILE, NO_PLACE = "there is no such file", "there is no such place on that page"
NOT_WHOLE, LOADED = "is not a whole https address", "is loaded from outside"
OUT = "https://example.org/a"


@pytest.mark.parametrize(
    ("tag", "target", "why"),
    [
        ('<a href="gone.html">', "gone.html", NO_FILE),
        ('<a href="rules">', "rules", NO_FILE),
        ('<img src="gone.png">', "gone.png", NO_FILE),
        ('<script src="gone.js"></script>', "gone.js", NO_FILE),
        ('<img srcset="a%20b.css 1x, big.png 2x">', "big.png", NO_FILE),
        ('<a href="#nowhere">', "#nowhere", NO_PLACE),
        ('<a href="rules/one.html#top">', "rules/one.html#top", NO_PLACE),
        ('<a href="../secret.html">', "../secret.html", "leads out of the site"),
        ('<a href="http://example.org/">', "http://example.org/", NOT_WHOLE),
        ('<a href="https://example">', "https://example", NOT_WHOLE),
        ('<a href="https://exa mple.org/">', "https://exa mple.org/", NOT_WHOLE),
        ('<a href="file:///etc/passwd">', "file:///etc/passwd", NOT_WHOLE),
        ('<a href="javascript:alert(1)">', "javascript:alert(1)", NOT_WHOLE),
        (f'<img src="{OUT}.png">', f"{OUT}.png", LOADED),
        ('<script src="//example.org/a.js"></script>', "//example.org/a.js", LOADED),
        (f'<link rel="stylesheet" href="{OUT}.css">', f"{OUT}.css", LOADED),
        ('<p id="top">', "#top", "this place stands twice"),
    ],
)
def test_a_planted_fault_is_found(links, site, tag, target, why):
    page = site / "index.html"
    page.write_text(page.read_text() + tag)
    assert faults(links, site) == {("index.html", target, why)}


def test_a_page_that_nobody_leads_to_is_found(links, site):
    (site / "rules" / "alone.html").write_text('<a href="one.html">one</a>')
    assert faults(links, site) == {("rules/alone.html", "", "no other page leads here")}


def test_a_place_that_moved_is_found(links, site):
    page = site / "rules" / "one.html"
    page.write_text(page.read_text().replace('id="säen"', 'id="sow"'))
    assert faults(links, site) == {
        ("index.html", "rules/one.html#s%C3%A4en", "there is no such place on that page")
    }
