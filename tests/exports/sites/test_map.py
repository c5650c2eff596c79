"""The map of many sites in a browser, and what stands in it."""

import json
import math
import re
from dataclasses import replace

import pytest

from lawnmap import schema
from lawnmap.exports.sites import block, listing
from lawnmap.exports.sites import map as sites_map
from lawnmap.exports.sites.places import marks, summed
from lawnmap.exports.sites.states import STATES, states
from lawnmap.exports.sites.still_plan import still_plan
from lawnmap.pages.words import word
from tests import sites_tables
from tests.axe import problems
from tests.exports.read_back import everything
from tests.exports.sites.sites_papers import paper

BESIDE = {
    "site-00000": "../gardens/site%200/exports/map.html",
    "site-00001": "https://example.invalid/map.html",
    "site-00002": "//example.invalid/map.html",
    "site-00003": "javascript:alert(1)",
}


@pytest.fixture(scope="module")
def sixty():
    return paper(60, beside=BESIDE)


@pytest.fixture(scope="module")
def page(sixty):
    return sites_map.render(sixty)


def block_of(data):
    text = re.search(rb'<script type="application/json" id="lawnmap-data">(.*?)</script>', data)
    return json.loads(text[1])


def test_the_same_paper_gives_the_same_bytes(sixty, page):
    assert sites_map.render(sixty) == page


def test_every_site_stands_as_its_figures_say(sixty):
    names = [list(STATES)[each] for each in states(sixty)]
    by_last = dict(zip((each[-1] for each in sixty.table("sites")["site_id"]), names, strict=True))
    assert by_last == dict.fromkeys("012345", "planned") | {
        "6": "done", "7": "unrated", "8": "stopped", "9": "trouble",
    }  # fmt: skip


def test_a_site_without_a_zone_is_not_one_with_nothing_to_do(sixty):
    sites = sixty.table("sites")
    first = sites["site_id"].eq(sites["site_id"].iloc[0])
    none = {"zones": 0, "worked": 0, "stopped": 0, "unrated": 0}
    bare = sites.assign(**{name: sites[name].mask(first, value) for name, value in none.items()})
    found = states(replace(sixty, tables={**sixty.tables, "sites": bare}))
    assert list(STATES)[found[0]] == "empty"
    assert word("sites.state_empty") == "no zone yet"


def test_sums_of_squares_lose_no_site_and_no_ground(sixty):
    drawn = marks(sixty.table("sites"), states(sixty))
    for across in (1, 5, 40):
        squares = summed(drawn, across)
        assert squares.count.sum() == len(drawn.places) == 54
        assert math.isclose(squares.ground.sum(), drawn.ground.sum(), rel_tol=1e-12)
        assert (squares.states.sum(axis=0) == drawn.states.sum(axis=0)).all()
        assert len(squares.places) <= across**2
    assert (squares.places >= 0).any()  # a site alone in its square stays a site


def test_the_still_plan_draws_every_site_and_a_long_scale(sixty):
    drawn = marks(sixty.table("sites"), states(sixty))
    shown = still_plan(drawn, "metric", block.names(sixty))
    assert shown.count("scale(") == len(drawn.places)
    assert re.search(r"\d\xa0km<", shown)
    assert re.search(r"\d\xa0mi<", still_plan(drawn, "imperial", []))
    assert all(region in shown for region in sites_tables.REGIONS)


def test_only_a_way_to_a_file_becomes_a_link(page):
    assert block_of(page)["sites"]["beside"][:4] == [BESIDE["site-00000"], "", "", ""]


@pytest.mark.parametrize("audience", ["public", "client", "crew"])
def test_nobody_reads_what_is_not_theirs(audience):
    made = paper(30, audience)
    found = everything(".html", sites_map.render(made))
    secrets = {"trouble": "damaged", "cost": "EUR", "depot": sites_tables.DEPOTS[0]}
    for column, secret in secrets.items():
        seen = column in schema.names("sites", audience=audience)
        assert (secret in found) == seen, column
    placed = "longitude" in schema.names("sites", audience=audience)
    assert bool(block_of(sites_map.render(made))["marks"]["at"]) == placed


def test_of_too_many_sites_there_are_sums_and_no_list(monkeypatch, sixty):
    monkeypatch.setattr(block, "MOST_SITES", 50)
    monkeypatch.setattr(sites_map, "MOST_SITES", 50)
    data = sites_map.render(sixty)
    assert block_of(data)["sites"] is None
    assert b'data-parcel="details"' not in data
    assert b"too many to list" in data
    assert sum(map(sum, block_of(data)["marks"]["states"])) == 54


@pytest.mark.browser
def test_too_many_sites_are_drawn_and_their_sums_chosen(opened, monkeypatch, sixty):
    monkeypatch.setattr(block, "MOST_SITES", 50)
    monkeypatch.setattr(sites_map, "MOST_SITES", 50)
    seen = opened(sites_map.render(sixty))
    seen.page.mouse.move(400, 300)
    seen.page.locator("#map_lawnmap").click(position={"x": 380, "y": 330})
    seen.page.select_option("[name=show]", "month 2027-09")
    assert seen.page.locator(".sums:visible h3").all_inner_texts() == ["Month: September 2027"]
    assert (len(seen.requests), seen.console) == (1, [])


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
def test_it_asks_nobody_fits_and_has_no_serious_problem(opened, width):
    seen = opened(sites_map.render(paper(10)), width=width)  # one of each state
    assert (len(seen.requests), seen.console) == (1, [])
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    if width == 1280:
        seen.page.locator(".list .called button").first.click()
        seen.page.locator(".panel dl").wait_for()
    assert problems(seen.page) == []


@pytest.mark.browser
def test_sites_are_searched_sorted_and_chosen(opened, page, sixty):
    shown = opened(page).page
    rows = shown.locator("table.sites tbody tr")
    names = shown.locator("table.sites .called")
    assert rows.count() == 50
    shown.get_by_role("button", name="Show more sites").click()
    assert rows.count() == 60
    sites = sixty.table("sites").sort_values("ground_area_m2", ascending=False)
    shown.select_option("[name=sort]", "ground_area_m2")
    assert names.all_inner_texts()[:3] == sites["title"].tolist()[:3]
    shown.select_option("[name=show]", "region Parks")
    assert rows.count() == 12
    assert shown.locator(".count").inner_text() == "12 of 60"
    assert shown.locator(".sums:visible h3").all_inner_texts() == ["Region: Parks"]
    shown.select_option("[name=state]", label="not worked out")
    assert rows.count() == 6
    shown.select_option("[name=state]", "")
    shown.select_option("[name=show]", "all ")
    shown.locator(".search input").fill("lawn 59")
    assert names.all_inner_texts() == ["Parks lawn 59"]


@pytest.mark.browser
def test_a_site_is_opened_and_shut_by_keys(opened, page):
    shown = opened(page).page
    shown.locator(".search input").fill("North shore lawn 0")
    shown.keyboard.press("Enter")
    panel = shown.locator(".panel")
    panel.locator("table.needed").wait_for()
    assert shown.evaluate("document.activeElement.id") == "panel-title"
    assert "planned" in panel.inner_text()
    assert sites_tables.IRON in panel.inner_text()
    link = panel.get_by_role("link")
    assert link.get_attribute("href") == f"./{BESIDE['site-00000']}"
    shown.keyboard.press("Escape")
    assert not panel.is_visible()
    assert shown.evaluate("document.activeElement.type") == "search"


@pytest.mark.browser
def test_a_mark_on_the_map_opens_its_site(opened):
    shown = opened(sites_map.render(paper(1))).page
    box = shown.locator("#map_lawnmap").bounding_box()
    shown.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert shown.locator("#panel-title").inner_text() == "North shore lawn 0"


@pytest.mark.browser
def test_sites_in_one_place_stand_round_it_when_the_map_is_close(opened):
    made = paper(2)
    same = made.table("sites").assign(longitude=3.0, latitude=55.0)
    shown = opened(sites_map.render(made.of(tables={**made.tables, "sites": same}))).page
    box = shown.locator("#map_lawnmap").bounding_box()
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    shown.mouse.click(*middle)  # a sum of two: the map comes closer
    rests = "map_lawnmap.getZoom() >= 18 && !map_lawnmap._animatingZoom"
    while not shown.evaluate(rests):
        shown.wait_for_timeout(50)
    names = []
    for way in (-22, 22):
        shown.mouse.click(middle[0], middle[1] + way)
        names.append(shown.locator("#panel-title").inner_text())
    assert names == ["North shore lawn 0", "South shore lawn 1"]


@pytest.mark.browser
def test_on_paper_all_sites_and_all_sums_stand_whatever_was_chosen(opened, page):
    shown = opened(page).page
    shown.select_option("[name=show]", "region Parks")
    shown.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    shown.emulate_media(media="print")
    assert shown.locator("table.sites tbody tr:visible").count() == 60
    assert shown.locator(".sums:visible").count() == 1 + 5 + 2 + 4  # no day: a month of its own
    assert shown.locator("svg.plan").is_visible()
    assert not shown.locator("#map_lawnmap").is_visible()


@pytest.mark.browser
def test_without_scripts_the_still_plan_and_the_tables_stand(opened, page):
    shown = opened(page, java_script_enabled=False, width=390).page
    assert shown.locator("svg.plan").is_visible()
    assert shown.locator("table.sites tbody tr:visible").count() == 60
    assert not shown.locator(".choosers").is_visible()


@pytest.mark.browser
@pytest.mark.parametrize(("audience", "map_there"), [("owner", True), ("public", False)])
def test_a_page_without_places_has_one_column(opened, audience, map_there):
    shown = opened(sites_map.render(paper(10, audience))).page
    left = shown.locator(".list").bounding_box()["x"]
    assert (left > 640) == map_there
    assert shown.locator("#map_lawnmap").count() == map_there


@pytest.mark.browser
def test_units_are_switched_everywhere(opened):
    shown = opened(sites_map.render(paper(12, units="metric first"))).page
    ground = shown.locator(".glance .ground_area_m2 dd")
    assert "m²" in ground.inner_text()
    shown.locator(".units label", has_text="US").click()
    assert "sq\xa0ft" in ground.inner_text()
    assert "m²" not in shown.locator("table.sites").inner_text()


def test_of_a_long_list_the_first_rows_stand_and_a_note(monkeypatch, sixty):
    monkeypatch.setattr(listing, "STANDING", 50)
    monkeypatch.setattr(listing, "LISTED_OF_MORE", 20)
    data = sites_map.render(sixty)
    assert data.count(b"data-site=") == 20
    assert b"The first 20 of 60 sites." in data
