"""The map in Debian's Firefox: the same page does the same, asks nobody and says nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lawnmap.exports.map.page import render
from tests.exports.map.test_layers import FOUND
from tests.exports.papers import dated, paper
from tests.firefox import firefox

pytestmark = pytest.mark.firefox
WIDTHS = (390, 768, 1280)
WAIT = "new Promise((done) => setTimeout(done, 200))"  # for what is told a little later
COUNT = "document.querySelectorAll({!r}).length"


@pytest.fixture(scope="module")
def map_page(tmp_path_factory):
    path = tmp_path_factory.mktemp("firefox") / "map.html"
    made = dated(paper())
    path.write_bytes(render(made.of(plan=replace(made.plan, layers=FOUND))))
    with firefox() as browser:
        browser.goto(path.as_uri())
        yield browser


@pytest.fixture
def quiet(map_page):
    """Give the page, which by the end of a test has asked nobody and complained of nothing."""
    yield map_page
    map_page.evaluate(WAIT)
    assert (map_page.said, map_page.asked, map_page.dialogs) == ([], [], [])


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_has_to_be_scrolled_sideways(quiet, width):
    quiet.size(width, 900)
    assert quiet.evaluate("document.documentElement.scrollWidth") <= width
    assert quiet.evaluate("document.getElementById('map_lawnmap').clientWidth") > 0.5 * min(
        width, 700
    )


def test_every_view_shows_something_of_its_own(quiet):
    quiet.size(1280, 900)
    views = quiet.evaluate(COUNT.format("[name=view]"))
    assert views >= 3
    seen = set()
    for place in range(views):
        quiet.evaluate(f"(document.querySelectorAll('[name=view]')[{place}].click(), 0)")
        seen.add(quiet.evaluate("document.querySelector('.legend').innerText + location.hash"))
    assert len(seen) == views


def test_every_layer_is_switched(quiet):
    quiet.size(1280, 900)
    quiet.evaluate("(location.hash = '#condition', 0)")
    boxes = quiet.evaluate(COUNT.format(".layers input"))
    for place in range(boxes):
        box = f"document.querySelector('[data-layer=\"{place}\"]')"
        before = quiet.screenshot()
        quiet.evaluate(f"({box}.click(), 0)")
        assert quiet.screenshot() != before, place
        quiet.evaluate(f"({box}.click(), 0)")
    assert boxes > 0


def test_a_zone_opens_by_mouse_and_closes_by_key(quiet):
    quiet.click("table.zones button")
    assert quiet.evaluate("document.querySelector('.panel').hidden") is False
    assert quiet.evaluate("document.querySelector('.panel h2').innerText").strip()
    quiet.press("\ue00c")  # Escape
    assert quiet.evaluate("document.querySelector('.panel').hidden") is True


def test_the_page_is_read_by_keyboard(quiet):
    quiet.evaluate("(document.activeElement.blur(), scrollTo(0, 0), 0)")
    reached = set()
    for _ in range(12):
        quiet.press("\ue004")  # Tab
        reached.add(quiet.evaluate("document.activeElement.outerHTML.slice(0, 400)"))
    assert len(reached) > 8


def test_what_goes_wrong_would_have_been_seen(map_page):
    map_page.evaluate("console.error('planted')")
    map_page.evaluate("fetch('http://127.0.0.1:2345/').catch(() => 0)")
    map_page.evaluate(WAIT)
    assert any("planted" in each for each in map_page.said)
    assert len(map_page.said) > 1  # the page's own policy forbids to fetch, and says so
