"""Every view and layer at the widths of a phone, a tablet and a desk: quiet, whole, accessible."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lawnmap.exports.map.page import render
from tests.axe import problems
from tests.exports.dated import dated
from tests.exports.map.test_before import surveyed
from tests.exports.map.test_layers import FOUND

pytestmark = pytest.mark.browser
VIEW = "label:has([name=view])"
VIEWS = ["Condition", "Work", "Setting out", "Before and after"]


@pytest.fixture(scope="module")
def page_bytes():
    """Return a map with all four views: days, layers and an earlier survey."""
    made = dated()
    earlier = surveyed().earlier
    return render(made.of(plan=replace(made.plan, layers=FOUND), earlier=earlier))


@pytest.mark.parametrize("width", [390, 768, 1280])
def test_every_view_and_layer_is_quiet_and_fits(opened, page_bytes, width):
    seen = opened(page_bytes, width=width)
    page = seen.page
    names = page.locator(VIEW).all_inner_texts()
    assert [each.strip() for each in names] == VIEWS
    shown = set()
    for place in range(len(VIEWS)):
        page.locator(VIEW).nth(place).click()
        shown.add(page.locator(".legend").inner_text())
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert len(shown) == len(VIEWS)
    boxes = page.locator(".layers input")
    drawn = set()
    for place in range(boxes.count()):
        page.evaluate(f"document.querySelectorAll('.layers input')[{place}].click()")
        drawn.add(page.locator(".leaflet-map-pane").inner_html())
    assert len(drawn) == boxes.count() > 3
    assert seen.requests == [page.url.split("#")[0]]
    assert (seen.console, seen.dialogs) == ([], [])


def test_no_view_has_a_serious_problem(opened, page_bytes):
    page = opened(page_bytes, width=768).page
    for place in range(len(VIEWS)):
        page.locator(VIEW).nth(place).click()
        assert problems(page) == [], VIEWS[place]


def test_a_screen_reader_is_told_what_each_thing_is(opened, page_bytes):
    page = opened(page_bytes, width=768).page
    for view in VIEWS:
        assert page.get_by_role("radio", name=view, exact=True).count() == 1
    page.get_by_role("radio", name="Work").focus()
    page.keyboard.press("Space")
    slider = page.get_by_role("slider")
    assert slider.get_attribute("aria-valuetext")
    slider.press("ArrowRight")
    assert "2" in slider.get_attribute("aria-valuetext")  # a day in words, with its year
    assert (
        page.get_by_role("searchbox").get_attribute("id") or page.locator(".search label").count()
    )
    row = page.locator("table.zones button").first
    row.press("Enter")
    assert page.get_by_role("dialog").get_by_role("heading", level=2).inner_text()
    assert page.locator("table.zones tr[aria-current]").count() == 1
