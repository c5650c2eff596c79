"""A page of very many zones in a real browser: painted, listed by the script, opened in parts."""

import io
import os
from dataclasses import replace

import pytest
import shapely
from PIL import Image

from lawnmap.exports.drawing.drawn import LONG_FROM
from lawnmap.exports.drawing.themes import PALETTES
from lawnmap.exports.map.packing import ZONES_A_PARCEL
from lawnmap.exports.map.page import render
from tests.exports.map.test_layers import layer
from tests.exports.papers import dated, grid, paper
from tests.exports.parcels import block_of, parcels_of

browser = pytest.mark.browser

ZONES = 1000
LONG = os.environ.get("LAWNMAP_LONG") == "1"
PLACE = """place => {
  const zone = window.map_lawnmap;
  const data = JSON.parse(document.getElementById('lawnmap-data').textContent).packed;
  let [north, east] = data.origin;
  for (let at = 0; at <= place; at += 1) {
    north += data.at[2 * at];
    east += data.at[2 * at + 1];
  }
  const box = document.getElementById('map_lawnmap').getBoundingClientRect();
  const seen = zone.latLngToContainerPoint([north / data.whole, east / data.whole]);
  return { x: box.left + seen.x, y: box.top + seen.y };
}"""


def painted(page):
    """Return the colours on the map that are not scarce."""
    shot = Image.open(io.BytesIO(page.locator("#map_lawnmap").screenshot()))
    counted = shot.convert("RGB").getcolors(2**24)
    return {colour for count, colour in counted if count > 400}


def page_of(many):
    """Return a page of many lawns with days and with a layer of many marks.

    The second parcel names another work first than the page does.
    """
    made = dated(paper([f"Lawn {at}" for at in range(many)], shapes=grid(many)))
    zones = made.plan.zones.copy()
    zones.loc[zones.index[ZONES_A_PARCEL], "verdict"] = "light work"
    places = [each.centroid for each in grid(many)]
    refills = layer([*places, shapely.Point(0, 0)])
    return render(made.of(plan=replace(made.plan, zones=zones, layers={"refills": refills})))


@pytest.fixture(scope="module")
def page_bytes():
    """Return the page of a thousand."""
    return page_of(ZONES)


def test_a_thousand_zones_are_less_than_so_many_bytes(page_bytes):
    assert len(page_bytes) < 1_800_000  # measured 1.2 MB; ten thousand must stay under 8 MB
    assert set(parcels_of(page_bytes)) == {"zones-0", "zones-1", "layer-0"}
    assert "zones" not in block_of(page_bytes)


@browser
def test_the_map_is_used_with_mouse_and_keys(opened, page_bytes):
    seen = opened(page_bytes)
    page = seen.page
    page.wait_for_selector("table.zones.made")

    # It is painted, in more than one colour, and nothing is made of each zone.
    assert page.locator(".leaflet-zones-pane canvas").count() == 1
    assert len(painted(page)) > 5  # the ground and at least five classes of moss
    assert page.evaluate("document.querySelectorAll('*').length") < 9_000
    assert page.locator("path.zone:visible").count() == 0

    # A click on a zone opens its panel, with the details that lay in a parcel.
    at = page.evaluate(PLACE, 618)
    page.mouse.click(at["x"], at["y"])
    page.wait_for_selector(".panel ol.steps")
    assert page.locator("#panel-title").inner_text().split() == ["619", "Lawn", "618"]
    assert page.evaluate("document.activeElement.id") == "panel-title"
    assert page.locator(".panel .why").count() > 2
    assert page.locator("path.chosen").count() == 1
    page.keyboard.press("Escape")
    assert page.locator(".panel").is_hidden()

    # A click beside all zones opens none.
    box = page.locator("#map_lawnmap").bounding_box()
    page.mouse.click(box["x"] + box["width"] - 60, box["y"] + box["height"] - 60)
    assert page.locator(".panel").is_hidden()

    # The list is made of buttons, fifty at a time, and is searched whole.
    rows = page.locator("table.zones tbody tr")
    assert rows.count() == 50
    page.locator("button.more").click()
    assert rows.count() == 100
    page.locator(".search input[type=search]").fill("lawn 98")
    assert rows.count() == 11
    page.wait_for_function("document.querySelector('table.zones td.area').textContent !== ''")
    page.locator(".search input[type=search]").press("Enter")
    assert "99" in page.locator("#panel-title").inner_text()
    page.wait_for_selector(".panel ol.steps, .panel .lines")
    page.keyboard.press("Escape")
    rows.nth(3).locator("button").press("Enter")
    page.wait_for_selector(".panel .lines")
    page.keyboard.press("Escape")

    # Many marks are painted too, and many zones step back on a day.
    page.locator("[data-layer='0']").check()
    page.wait_for_selector(".leaflet-layers-pane canvas")
    assert page.locator(".layer-mark").count() == 0
    before = painted(page)
    page.locator("input[name=view]").nth(1).check()
    page.locator("#day").press("ArrowRight")
    page.wait_for_timeout(50)
    assert painted(page) != before
    assert seen.console == []
    assert seen.dialogs == []


@browser
def test_work_is_found_and_told_the_same_once_rows_are_filled(opened, page_bytes):
    page = opened(page_bytes).page
    page.wait_for_selector("table.zones.made")
    more = page.locator("button.more")
    while more.is_visible():
        more.click()
    page.wait_for_function("[...document.querySelectorAll('td.area')].every(x => x.textContent)")
    block = block_of(page_bytes)
    texts, verdicts = block["texts"], block["packed"]["columns"]["verdict"]
    wanted = [texts[place] if place is not None else "" for place, _ in verdicts]
    assert len(set(wanted)) == 5
    field, count = page.locator(".search input[type=search]"), page.locator(".search .count")
    for work in ("Renovate", "Light work", "Leave it alone"):
        field.fill(work)
        assert count.text_content() == f"{sum(work in each for each in wanted)} found"
        shown = set(page.locator("table.zones tbody td.work").all_inner_texts())
        assert all(work in each for each in shown)


@browser
def test_a_day_is_printed_in_its_colours(opened, page_bytes):
    page = opened(page_bytes).page
    page.wait_for_selector("table.zones.made")
    page.locator("input[name=view]").nth(1).check()
    page.locator("#day").press("ArrowRight")
    day = block_of(page_bytes)["work"]["days"][0]
    counts = [len(zones) for zones in day["zones"]]
    blades = counts.index(max(counts))
    colour = PALETTES["day"][blades]
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    grounds = page.locator(".first-sheet svg.printed > path:not(.zone)")
    found = {
        (each.get_attribute("fill"), each.get_attribute("fill-opacity")): each
        for each in grounds.all()
    }
    many = found[colour, "1"].get_attribute("d").count("M")
    assert many == counts[blades]
    assert found["#ffffff", "0.25"].get_attribute("d").count("M") == ZONES - many  # step back
    legend = page.locator(".first-sheet .legend .classes rect").first.get_attribute("fill")
    assert legend == f"url(#day-{blades})"
    hatch = page.locator(".first-sheet svg.printed > path[clip-path]").first
    assert hatch.get_attribute("d").count("M") > 10


def test_one_number_says_what_a_long_page_is():
    pages = {
        many: render(paper(["Lawn"] * many, shapes=grid(many), features=False)).decode()
        for many in (LONG_FROM, LONG_FROM + 1)
    }
    short, long = pages.values()
    for said in ('"preferCanvas": true', '"packed":', 'class="zones some"'):
        assert said not in short
        assert said in long
    plans = [each.split('class="plan"')[1].split("</svg>")[0] for each in (short, long)]
    assert plans[0].count('class="zone"') == LONG_FROM
    assert plans[1].count('class="zone"') < 10


@browser
def test_without_scripts_the_first_rows_and_the_plan_stand(opened, page_bytes):
    page = opened(page_bytes, java_script_enabled=False).page
    assert page.locator("table.zones tbody tr:visible").count() == 100
    assert "1000 zones" in page.locator("section.list p.note").inner_text()
    assert page.locator("svg.plan path.zone").count() < 10


@browser
@pytest.mark.skipif(not LONG, reason="takes a minute; docs/benchmarks/map.py times such a page")
def test_ten_thousand_zones_make_no_more_elements(opened):
    data = page_of(10_000)
    assert len(data) < 8_000_000
    seen = opened(data)
    seen.page.wait_for_selector("table.zones.made")
    assert len(painted(seen.page)) > 1
    assert seen.page.evaluate("document.querySelectorAll('*').length") < 9_000
    assert seen.console == []
