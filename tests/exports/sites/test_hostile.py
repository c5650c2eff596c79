"""Whatever a person types comes out of the papers of many sites as typed, and does nothing."""

import datetime as dt

import pytest

from lawnmap.exports.pdf.twin import twin
from lawnmap.exports.sites import loading, shopping
from lawnmap.exports.sites import map as sites_map
from tests.exports.names import HOSTILE
from tests.exports.read_back import standing
from tests.exports.sites.sites_papers import PLACES, said, saying

PAPERS = {"map": sites_map, "shopping": shopping, "loading": loading}
PLAIN = ["Plain"] * len(HOSTILE)


@pytest.fixture(scope="module")
def plain():
    return saying(PLAIN)


@pytest.fixture(scope="module")
def hostile():
    return saying(HOSTILE)


def shown(words, data, suffix=".html"):
    """Return what stands in a paper, by place and number."""
    places = (*PLACES, "paper", "contact")
    return standing(suffix, data, {place: said(words, place) for place in places})


@pytest.mark.parametrize("name", PAPERS)
def test_every_paper_says_it_as_it_was_typed(name, plain, hostile):
    usual = shown(PLAIN, PAPERS[name].render(plain))
    assert usual - shown(HOSTILE, PAPERS[name].render(hostile)) == set()
    assert len({number for _, number in usual}) == len(HOSTILE)


def test_the_map_says_all_of_it(hostile):
    told = {"title", "id", "region", "depot", "trouble", "product", "paper", "contact"}
    found = shown(HOSTILE, sites_map.render(hostile))
    everywhere = {place for place in PLACES if (place, 0) in found}
    assert everywhere >= told - {"paper", "contact"}
    assert {("title", number) for number in range(len(HOSTILE))} <= found


def test_the_pdf_is_made_of_them_too(hostile):
    found = shown(HOSTILE, twin(shopping.render(hostile), made=dt.date(2027, 7, 1)), ".pdf")
    assert ("product", 0) in found


@pytest.mark.browser
@pytest.mark.parametrize("name", PAPERS)
def test_no_page_does_anything_of_what_was_typed(opened, name, hostile):
    seen = opened(PAPERS[name].render(hostile))
    page = seen.page
    if name == "map":
        page.locator(".list .called button").first.click()
        page.locator(".panel dl").wait_for()
    bad = "document.querySelectorAll('img[src=x], [onload], [onerror]').length"
    assert page.evaluate(bad) == 0
    assert page.evaluate("({}).polluted") is None
    assert "onerror=alert(1)" in page.evaluate("document.body.textContent")
    assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], [])
