"""The views of the map, its days and its list, in a browser, by keys as by a finger."""

from dataclasses import replace
from itertools import combinations

import pytest

from lawnmap.exports.map.page import render
from tests.exports.dated import NEW_GRASS, WET, dated
from tests.exports.papers import paper

browser = pytest.mark.browser
STANDING = "#map_lawnmap path.zone:not(.back)"


@pytest.fixture(scope="module")
def page_bytes():
    return render(dated())


def slide(page, key):
    page.get_by_role("slider", name="Day").focus()
    page.keyboard.press(key)


BOXES = """() => {
  const ground = document.querySelector("#map_lawnmap").getBoundingClientRect();
  return [...document.querySelectorAll("#map_lawnmap :is(.letter, .pill)")].map((each) => {
    const { left, top, right, bottom } = each.getBoundingClientRect();
    const seen = left >= ground.left && right <= ground.right && top >= ground.top
      && bottom <= ground.bottom;
    return [left, top, right, bottom, each.textContent, seen];
  });
}"""


def crowded():
    """Return a paper with a gully, a tap and a way in at one corner of the lawn."""
    given = paper()
    site = given.plan.site
    corner = site.zones.geometry.iloc[0].exterior.coords[0]
    there = [
        {
            "type": "Feature",
            "properties": {"feature": kind},
            "geometry": {"type": "Point", "coordinates": corner},
        }
        for kind in ("drain", "supply", "access")
    ]
    plan = replace(given.plan, site=site.with_features([*site.document["features"], *there]))
    return given.of(plan=plan)


@browser
@pytest.mark.parametrize("width", [390, 1280])
def test_letters_lie_on_no_number_and_on_no_letter(opened, width):
    page = opened(render(crowded()), width=width).page
    boxes = page.evaluate(BOXES)
    assert len([each for each in boxes if not each[4].isdigit()]) > 1
    meeting = [
        (one[4], other[4])
        for one, other in combinations(boxes, 2)
        if not (one[4].isdigit() and other[4].isdigit())
        if one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
    ]
    assert meeting == []
    assert all(each[5] for each in boxes)
    stems = page.locator(".stem:not([hidden])")
    assert stems.count() >= 2
    # Straight along or up from its place, so that a bar is the stem.
    moved = page.evaluate(
        "() => [...document.querySelectorAll('.letter:has(.stem:not([hidden]))')]"
        ".map((each) => [each.style.left, each.style.top])"
    )
    assert all(("0px" in each) and each != ["0px", "0px"] for each in moved)


@browser
def test_nothing_brings_back_what_is_seen_already(opened, page_bytes):
    page = opened(page_bytes).page
    back = page.get_by_role("button", name="Whole site")
    assert back.is_hidden()
    whole = page.evaluate("map_lawnmap.getBounds().toBBoxString()")
    page.evaluate("map_lawnmap.zoomIn(2, { animate: false })")
    back.click()
    page.wait_for_function("whole => map_lawnmap.getBounds().toBBoxString() === whole", arg=whole)
    back.wait_for(state="hidden")


@browser
def test_the_day_slider_shows_who_is_where(opened, page_bytes):
    seen = opened(page_bytes)
    page, slider = seen.page, seen.page.get_by_role("slider", name="Day")
    assert page.get_by_role("radio", name="Condition").is_checked()
    assert page.get_by_role("radio", name="Moss").is_checked()
    page.get_by_role("radio", name="Work").focus()
    page.keyboard.press("Space")
    assert slider.get_attribute("aria-valuetext") == "All days"
    assert page.locator(STANDING).count() == 4
    slide(page, "ArrowRight")
    assert slider.get_attribute("aria-valuetext") == "Monday 6 September 2027"
    assert page.locator(STANDING).count() == 2
    assert page.locator("path.zone").first.get_attribute("fill") == "url(#day-0)"
    said = page.locator(".day-said")
    assert "Mowing in Front lawn and Side lawn." in said.inner_text()
    page.get_by_role("button", name="Next day").click()
    page.get_by_role("button", name="Next day").click()
    assert NEW_GRASS in said.inner_text()
    assert page.locator("path.zone").first.get_attribute("fill") == "url(#day-4)"
    assert "Seed" in page.locator(".legend .classes").inner_text()
    assert "Iron" not in page.locator(".legend .classes").inner_text()
    assert page.url.endswith("#work/2027-09-08")
    page.get_by_label("Only the zones of this day").check()
    assert page.locator("tr[data-zone]:visible").count() == 1
    assert page.locator(".search .count").text_content() == "1 found"
    slide(page, "End")
    assert page.get_by_role("button", name="Next day").is_disabled()
    page.reload()
    assert slider.get_attribute("aria-valuetext") == "Monday 4 October 2027"
    page.get_by_role("radio", name="Condition").check(force=True)
    assert page.locator(STANDING).count() == 4  # nobody stays behind
    assert page.get_by_label("Only the zones of this day").is_hidden()
    # An address that nobody made shows the first view, or all days.
    for asked, checked in (("#nonsense/9", "Condition"), ("#work/1999-01-01", "Work")):
        page.evaluate("asked => { location.hash = asked; }", asked)
        page.wait_for_function(
            "name => [...document.querySelectorAll('[name=view]')]"
            ".find(each => each.checked).parentElement.textContent === name",
            arg=checked,
        )
        assert page.get_by_role("radio", name=checked).is_checked()
    assert slider.get_attribute("aria-valuetext") == "All days"
    assert seen.console == []
    assert {each.split("#")[0] for each in seen.requests} == {seen.requests[0].split("#")[0]}


@browser
def test_list_map_and_panel_keep_together(opened, page_bytes):
    page = opened(page_bytes).page
    panel, current = page.get_by_role("dialog"), page.locator("tr[aria-current='true']")
    page.locator("path.zone.leaflet-interactive").nth(1).focus()
    page.keyboard.press("Enter")
    assert current.get_attribute("data-zone") == "1"
    row, box = current.bounding_box(), panel.bounding_box()
    assert 0 <= row["y"] < row["y"] + row["height"] <= box["y"]  # the row is seen above the panel
    assert page.locator("#map_lawnmap path.chosen").count() == 1
    panel.get_by_role("button", name="Next zone").click()
    assert current.get_attribute("data-zone") == "2"
    page.keyboard.press("Escape")
    assert current.count() == 0
    page.get_by_role("button", name="Front lawn", exact=True).press("Enter")
    assert panel.locator("h2").text_content() == "1 Front lawn"
    assert page.locator("tr[data-zone='0'] button").get_attribute("aria-current") == "true"
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.textContent") == "Front lawn"

    # A zone is found by its id, the client's number, and by what is done there.
    field = page.get_by_role("searchbox", name="Find a zone by name, number or work")
    for typed, found in (("overseed", ["0"]), ("iron", ["1", "3"]), ("z2", ["2"]), ("A2", ["1"])):
        field.fill(typed)
        rows = page.locator("tr[data-zone]:visible")
        assert [row.get_attribute("data-zone") for row in rows.all()] == found, typed


@browser
def test_the_panel_answers_in_the_order_of_the_work(opened, page_bytes):
    page = opened(page_bytes, width=390, height=844).page
    panel = page.get_by_role("dialog")
    page.locator("tr[data-zone='1'] button").click()
    titles = panel.locator("h3").all_text_contents()
    assert titles[:3] == ["When", "Work in order", "To watch for"]
    when = panel.locator("dl").first.inner_text()
    assert WET in when
    assert "Thursday 9 September 2027" in when
    assert panel.locator("ol.steps dt").first.text_content() == "Day"
    gates = panel.locator("details", has_text="What must hold on the day").first
    gates.locator("summary").click()
    assert gates.locator("li").all_text_contents() == ["Leaf dry", WET]
    panel.get_by_role("button", name="Next zone").click()
    panel.get_by_role("button", name="Next zone").click()
    watch = panel.locator(".watch")
    assert "Nobody has set the strip along the pond." in watch.inner_text()


@browser
def test_the_first_screen_stands_without_scripts(opened, page_bytes):
    page = opened(page_bytes, java_script_enabled=False, width=390, height=844).page
    for said in (
        "2 (128 m²) are worked on",
        NEW_GRASS,
        "8 September to 4 October 2027: Front lawn",
        "not filled in",
        "walk the ground",
        "file the PDF",
    ):
        assert page.get_by_text(said).filter(visible=True).count(), said
