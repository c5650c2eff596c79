"""The switch of units in a real browser: what is shown is what a page in those units shows."""

from __future__ import annotations

import pytest

from lawnmap.exports.map.page import render
from lawnmap.exports.wording.switched import with_switch
from lawnmap.exports.wording.worded import in_words
from tests.exports.papers import paper

pytestmark = pytest.mark.browser

SHOWN = """() => [...document.querySelectorAll('main > section:not(.paper), .panel')]
  .map(each => each.innerText.replaceAll('\\u00a0', ' '))"""
AREA = "tr[data-zone='6'] td.area"
SCALE = "[...document.querySelectorAll('.leaflet-control-scale-line')].map(x => x.textContent)"
GREAT = "16\u202f340"  # 1518 m² in square feet of 0.09290304 m² (yard of 1959)


def page_in(units: str) -> bytes:
    return render(in_words(paper(units=units)))


def said(found) -> str:
    return found.inner_text().replace("\u00a0", " ")


def open_great_lawn(page):
    page.locator("tr[data-zone='6'] button").click()
    return page.get_by_role("dialog")


def test_switching_shows_what_a_page_in_those_units_shows(opened):
    seen = opened(page_in(with_switch("metric")))
    page = seen.page
    assert page.get_by_role("radio", name="metric", exact=True).is_checked()
    panel = open_great_lawn(page)
    assert "1518 ± 5 m²" in said(panel)
    assert [each[-2:] for each in page.evaluate(SCALE)] == [" m"]

    page.get_by_role("radio", name="US", exact=True).check()
    shown = page.evaluate(SHOWN)
    assert f"{GREAT} ± 52 sq ft" in said(panel)
    assert [each[-3:] for each in page.evaluate(SCALE)] == [" ft"]

    us = opened(page_in("us")).page
    assert us.get_by_role("group", name="Units").count() == 0
    open_great_lawn(us)
    assert shown == us.evaluate(SHOWN)

    field = page.get_by_label("Find a zone")
    for wanted, found in (("1518", 0), (GREAT, 1)):
        field.fill(wanted)
        assert page.locator("table.zones tr[data-zone]:visible").count() == found

    page.reload()
    assert page.get_by_role("radio", name="US", exact=True).is_checked()
    assert "sq ft" in said(page.locator(AREA))
    page.get_by_role("radio", name="US", exact=True).press("ArrowLeft")
    assert "sq yd" in said(page.locator(AREA))
    page.emulate_media(media="print")
    assert "m²" not in said(page.locator("table.zones"))
    assert page.locator("fieldset.units").is_hidden()
    assert seen.console == []


def test_with_scripts_blocked_the_first_units_are_shown(opened):
    page = opened(page_in(with_switch("us")), java_script_enabled=False).page
    assert said(page.locator(AREA)) == f"{GREAT} ± 52 sq ft"
    assert page.locator("fieldset.units").is_hidden()
