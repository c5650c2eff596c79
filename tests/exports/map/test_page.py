"""The map in a real browser, from disk, without a network."""

import json
import re
from html.parser import HTMLParser

import pandas as pd
import pytest

from lawnmap.exports.map import page as map_export
from lawnmap.exports.map.page import render
from lawnmap.model import Plan
from lawnmap.pages import leaflet
from lawnmap.pages.escape import clean
from lawnmap.reference import tables
from tests.exports.names import HOSTILE
from tests.exports.papers import grid, paper

browser = pytest.mark.browser


def block_of(data: bytes):
    text = re.search(rb'<script type="application/json" id="lawnmap-data">(.*?)</script>', data)
    return json.loads(text[1])


class Elements(HTMLParser):
    """Every element with its attributes, by the standard library's reader."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))


def elements(data: bytes):
    reader = Elements()
    reader.feed(data.decode())
    return reader.found


def plan_with(given, **changes):
    return given.of(plan=Plan(**{**vars(given.plan), **changes}))


def in_view(page, selector):
    """Tell whether all elements lie inside the window of the map."""
    return page.evaluate(
        """selector => {
          const ground = document.getElementById('map_lawnmap').getBoundingClientRect();
          return [...document.querySelectorAll(selector)].every(each => {
            const box = each.getBoundingClientRect();
            return box.left >= ground.left && box.right <= ground.right
              && box.top >= ground.top && box.bottom <= ground.bottom;
          });
        }""",
        selector,
    )


def test_the_shape_of_an_export():
    assert map_export.SUFFIX == ".html"
    assert map_export.AUDIENCE == "client"
    assert map_export.TITLE


def test_two_renders_are_equal_byte_for_byte():
    assert render(paper()) == render(paper())


def test_thirty_zones_stay_under_the_limit():
    thirty = paper([f"Lawn {place}" for place in range(30)], shapes=grid(30))
    assert len(render(thirty)) < 400_000


def test_the_policy_is_there_and_lets_nothing_unknown_run():
    metas = [a for tag, a in elements(render(paper())) if tag == "meta"]
    (policy,) = [a["content"] for a in metas if a.get("http-equiv") == "Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; img-src data:; style-src 'sha256-")
    assert "unsafe" not in policy
    assert {"name": "referrer", "content": "no-referrer"} in metas
    (view,) = [a["content"] for a in metas if a.get("name") == "viewport"]
    assert "scalable" not in view  # text may be enlarged by two fingers
    assert "maximum" not in view


def test_no_element_carries_style_code_or_an_address():
    for tag, attributes in elements(render(paper())):
        assert "style" not in attributes, tag
        assert not [name for name in attributes if name.startswith("on")]
        assert not {"src", "href", "action", "data"} & set(attributes)


def test_no_address_but_name_spaces_and_leaflets_own_line():
    text = render(paper()).decode().replace(leaflet.script(), "")
    addresses = set(re.findall(r"https?://[^\s\"'<)]+", text))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert set(re.findall(r"https?://[^\s\"'<)]+", leaflet.script())) == {
        "http://www.w3.org/2000/svg",
        "https://leafletjs.com",
    }


def test_leaflets_licence_goes_with_the_copy():
    text = render(paper()).decode()
    assert "Redistribution and use in source and binary forms" in text.split("<style>")[0]


def test_coordinates_are_rounded_to_a_centimetre_and_only_here():
    zone = block_of(render(paper()))["zones"][0]
    for lat, lon in zone["areas"][0][0]:
        assert (round(lat, 7), round(lon, 7)) == (lat, lon)
        assert 54.9 < lat < 55.1


def test_a_schematic_map_tells_nobody_where_it_is():
    data = render(paper(schematic=True))
    block = block_of(data)
    assert block["flat"]
    assert max(max(pair) for pair in block["zones"][0]["areas"][0][0]) < 100
    assert b"55.00" not in data
    assert b"Drawn without its real position" in data


def test_missing_numbers_are_null_or_left_out():
    text = render(paper()).decode()
    block = text.split('id="lawnmap-data">')[1].split("</script>")[0]
    assert "NaN" not in block
    assert "nan" not in re.findall(r">([a-z]+)<", text)


def test_little_was_disclosed_and_the_page_still_stands():
    given = paper(audience="public")
    bare = plan_with(
        given,
        zones=given.plan.zones[["name", "geometry"]],
        steps=pd.DataFrame(columns=["zone_id", "operation"]),
        totals=pd.DataFrame(),
        loads=pd.DataFrame(),
        cautions=(),
    )
    block = block_of(render(bare))
    assert len(block["zones"]) == 12
    assert block["themes"] == []


def test_a_private_note_is_shown_when_it_was_let_out_and_what_nobody_knows_never():
    given = paper()
    zones = given.plan.zones.assign(private_note="PRIV-1", gate_code="PRIV-2")
    page = render(plan_with(given, zones=zones))
    assert b"PRIV-1" in page  # disclose lets it through by name alone: tests/exports/test_private
    assert b"PRIV-2" not in page


def test_a_site_without_zones_is_a_page():
    given = paper()
    empty = plan_with(given, zones=given.plan.zones.iloc[:0], steps=given.plan.steps.iloc[:0])
    assert block_of(render(empty))["zones"] == []


@pytest.mark.parametrize("name", ["contact", "keep_off", "first_day"])
def test_what_is_not_set_is_said_and_not_guessed(name):
    given = paper()
    choices = {k: v for k, v in given.plan.specification.choices.items() if k != name}
    silent = plan_with(given, specification=type(given.plan.specification)(choices))
    text = render(silent).decode()
    row = re.search(rf'<div class="{name}">(.*?)</div>', text)[1]
    assert '<span class="open">not ' in row


@browser
def test_it_opens_from_disk_with_one_request_and_no_word_from_the_console(opened):
    seen = opened(render(paper()))
    assert len(seen.requests) == 1
    assert seen.console == []
    assert seen.dialogs == []
    assert seen.page.locator("path.zone.leaflet-interactive").count() == 12
    assert in_view(seen.page, "path.zone.leaflet-interactive")


@browser
def test_both_style_sheets_took_effect(opened):
    page = opened(render(paper())).page
    style = "([selector, name]) => getComputedStyle(document.querySelector(selector))[name]"
    assert page.evaluate(style, [".leaflet-pane", "position"]) == "absolute"  # Leaflet's
    assert page.evaluate(style, [".head .issue", "color"]) == "rgb(41, 87, 99)"  # ours
    assert page.evaluate(style, [".still", "display"]) == "none"


@browser
def test_a_click_on_a_zone_opens_its_panel(opened):
    page = opened(render(paper())).page
    page.locator("path.zone.leaflet-interactive").nth(6).click(position={"x": 60, "y": 60})
    panel = page.get_by_role("dialog")
    assert panel.locator("h2").text_content() == "7 Great lawn"
    shown = panel.inner_text().replace("\u00a0", " ")
    for part in (
        "your number B2 · lot 2",
        "Renovate",
        "1518 ± 5 m²; outline: drawn on a map",
        "62 % measured: more moss than grass",
        "not set: do not apply",
        "for pricing only",
        "at least 14 days after the step before",
        "Top-dressing: not needed",
    ):
        assert part in shown


@browser
def test_every_number_has_its_reason(opened):
    page = opened(render(paper())).page
    page.locator("tr[data-zone='0'] button").click()
    panel = page.get_by_role("dialog")
    depth = panel.locator("dl.lines > div", has=page.get_by_text("Depth setting", exact=True))
    depth.locator("summary").click()
    said = depth.inner_text()
    assert "Start at 2 mm and come down to 5 mm at most" in said
    assert "This rests on: published" in said
    assert tables.source("kbeg").where in said


@browser
def test_the_keyboard_alone_is_enough(opened):
    page = opened(render(paper())).page
    zone = page.locator("path.zone.leaflet-interactive").nth(2)
    zone.focus()
    assert zone.get_attribute("aria-label") == "3. Drive verge, west. Leave it alone"
    page.keyboard.press("Enter")
    panel = page.get_by_role("dialog")
    assert panel.is_visible()
    assert page.evaluate("document.activeElement.id") == "panel-title"
    page.keyboard.press("Escape")
    assert panel.is_hidden()
    assert page.evaluate("document.activeElement.getAttribute('aria-label')")[:2] == "3."
    page.keyboard.press("Space")
    panel.get_by_role("button", name="Next zone").press("Enter")
    assert panel.locator("h2").text_content() == "4 Drive verge, east"


@browser
def test_the_list_finds_a_zone_by_name_and_by_number(opened):
    page = opened(render(paper())).page
    field = page.get_by_label("Find a zone by name, number or work")
    field.fill("VERGE")
    assert page.locator("tr[data-zone]:visible").count() == 2
    assert page.get_by_role("status").text_content() == "2 found"
    field.fill("c1")
    assert page.locator("tr[data-zone]:visible").count() == 1
    field.press("Enter")
    assert page.get_by_role("dialog").locator("h2").text_content() == "10 Croquet lawn"


@browser
def test_the_chooser_colours_zones_and_legend(opened):
    page = opened(render(paper())).page
    zone = page.locator("path.zone.leaflet-interactive").nth(4)
    legend = page.locator(".legend .classes")
    assert zone.get_attribute("fill") == "url(#moss-5)"
    assert "over 75" in legend.inner_text()
    page.get_by_label("Sun", exact=True).focus()
    page.keyboard.press("Space")
    assert zone.get_attribute("fill") == "url(#sun-0)"
    assert "under 2" in legend.inner_text()
    assert page.locator("svg.patterns #sun-0").count() == 1
    page.keyboard.press("ArrowLeft")
    assert zone.get_attribute("fill") == "url(#thatch-3)"
    page.get_by_label("Condition", exact=True).focus()
    page.keyboard.press("ArrowRight")
    assert zone.get_attribute("fill") == "url(#work-3)"


@browser
def test_other_features_tell_what_they_are(opened):
    page = opened(render(paper())).page
    page.get_by_role("button", name="Hidden in the ground: Boundary wire").press("Enter")
    said = page.get_by_role("dialog").inner_text()
    assert "boundary wire · Pegged on the surface along the edge." in said
    # A crown lets the tap through to the lawn under it.
    crowns = page.locator("#map_lawnmap path[fill-opacity='0.4']")
    assert crowns.count() == 4
    assert "leaflet-interactive" not in (crowns.first.get_attribute("class") or "")


@browser
@pytest.mark.parametrize("changes", [{"schematic": True}, {"header": {"placed": False}}])
def test_a_map_without_a_position_is_drawn_whole(opened, changes):
    seen = opened(render(paper(**changes)))
    assert seen.console == []
    seen.page.wait_for_timeout(600)  # longer than any animation
    assert in_view(seen.page, "path.zone.leaflet-interactive")
    placed = "header" not in changes
    assert seen.page.locator("svg.north").count() == placed
    assert ("no place on the earth" in seen.page.locator("footer").inner_text()) != placed
    assert seen.page.locator(".leaflet-control-scale").inner_text().strip() == "20 m"


@browser
def test_above_a_thousand_zones_the_map_is_painted(opened):
    many = paper([f"Lawn {n}" for n in range(1100)], shapes=grid(1100), features=False)
    seen = opened(render(many))
    assert seen.console == []
    assert seen.page.locator("#map_lawnmap canvas").count() == 1
    assert seen.page.locator(".number").count() < 200
    seen.page.get_by_role("searchbox").fill("1099")
    seen.page.locator("tr[data-zone='1099'] button").click()
    assert seen.page.get_by_role("dialog").locator("h2").text_content() == "1100 Lawn 1099"


@browser
def test_what_a_person_typed_is_shown_as_typed_and_does_nothing(opened, figure):
    said = "\n".join(HOSTILE)  # all at once, since a visit takes its time
    data = render(paper([said] * 12, title=said, said=said))
    seen = opened(data)
    page, typed = seen.page, clean(said)
    page.locator("path.zone.leaflet-interactive").first.focus()
    page.keyboard.press("Enter")
    panel = page.get_by_role("dialog")
    assert panel.locator("h2 bdi").text_content() == typed
    assert panel.locator(".flag bdi").first.text_content() == typed
    assert panel.locator("p.remark bdi").text_content() == typed
    page.get_by_role("button", name="Close").click()
    assert page.locator("tr[data-zone='0'] .called").text_content() == typed
    assert page.locator("h1 bdi").text_content() == typed
    assert page.locator(".glance .contact bdi").text_content() == typed
    assert page.locator(".cautions li").first.text_content() == typed
    assert page.locator("table.totals .called").first.text_content() == typed
    assert page.title() == " ".join(re.split("[ \t\n\f\r]+", typed)).strip(" ")
    page.locator("path.zone.leaflet-interactive ~ path[role=button]").last.press("Enter")
    assert panel.locator("h2 bdi").text_content() == typed
    assert page.evaluate("({}).polluted") is None
    assert page.locator("b, img, iframe").count() == 0
    assert seen.dialogs == []
    assert seen.console == []
    assert len(seen.requests) == 1
    shown = sum(clean(each) in panel.locator("h2 bdi").text_content() for each in HOSTILE)
    figure(19, f"map in Chromium: {shown} of {len(HOSTILE)} names as typed, {told(seen)}")


def told(seen):
    """Say what a page did beyond being loaded."""
    asked, lines = len(seen.requests) - 1, len(seen.console)
    return f"{asked} requests, {lines} console lines, {len(seen.dialogs)} dialogs"


@browser
def test_without_scripts_the_still_plan_says_the_main_things(opened):
    seen = opened(render(paper()), java_script_enabled=False, width=390, height=844)
    page = seen.page
    assert page.locator("svg.plan").is_visible()
    assert page.locator("svg.plan path.zone").count() == 12
    for said in (
        "Monday 23 August 2027",
        "worked out for Monday 2 August 2027",
        "Until the grass is dry and somebody has looked.",
        "Office of the grounds, 555 0100 (invented)",
        "Moorland iron salt (invented)",
        "not set: do not apply",
        "Iron stains concrete",
        "The steps of each zone need a browser that runs scripts",
    ):
        assert page.get_by_text(said).first.is_visible(), said
    assert page.locator(".live").first.is_hidden()
    assert seen.console == []


@browser
def test_a_broken_script_leaves_the_still_plan(opened):
    data = render(paper()).replace(b'"zones":[', b'"zoned":[', 1)  # data nobody can draw
    seen = opened(data)
    assert seen.page.locator("svg.plan").is_visible()
    assert len(seen.console) == 1


@browser
def test_no_row_is_wider_than_a_phone(opened):
    page = opened(render(paper(["W" * 300] * 12)), width=390, height=844).page
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    page.locator("tr[data-zone='0'] button").click()
    box = page.get_by_role("dialog").bounding_box()
    assert box["x"] == 0
    assert box["width"] == 390
    assert box["height"] < 0.62 * 844  # the map stays in sight above it
