"""The visit page in a real browser, from disk, without a network, under a thumb."""

import base64
import datetime as dt
import hashlib
import json
import random
import re

import pytest

from lawnmap.exports.visit.page import render
from lawnmap.pages.page import asset
from lawnmap.processing.replying import reply_content
from tests.axe import problems
from tests.exports.names import HOSTILE
from tests.exports.papers import paper
from tests.exports.visit.test_page import block_of, dated_paper, empty_paper

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844, "has_touch": True, "is_mobile": True}
# Example messages of FIPS 180-4, as NIST gives them ("SHA-256 examples"): one block, two blocks.
PUBLISHED = {
    "abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": (
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    ),
}
# What the eye gets: text against the nearest painted ground (WCAG 2.2, relative luminance).
DIM = """() => {
  const light = (rgb) => {
    const [r, g, b] = rgb.map((v) => v / 255)
      .map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const parts = (text) => text.match(/[\\d.]+/g).map(Number);
  const ground = (each) => {
    for (let at = each; at; at = at.parentElement) {
      const found = parts(getComputedStyle(at).backgroundColor);
      if (found.length === 3 || found[3] === 1) return found.slice(0, 3);
    }
    return [255, 255, 255];
  };
  return [...document.querySelectorAll('.head *, .panes *, .tabs *')]
    .filter((each) => each.getClientRects().length && !each.closest('svg')
      && [...each.childNodes].some((node) => node.nodeType === 3 && node.data.trim()))
    .map((each) => {
      const pair = [light(parts(getComputedStyle(each).color).slice(0, 3)), light(ground(each))];
      return [(Math.max(...pair) + 0.05) / (Math.min(...pair) + 0.05), each.textContent];
    })
    .filter(([ratio]) => ratio < 7);
}"""
SMALL = """() => [...document.querySelectorAll('button, input, textarea, summary')]
  .filter((each) => each.getClientRects().length)
  .filter((each) => each.getBoundingClientRect().height < 44
    || each.getBoundingClientRect().width < 44)
  .map((each) => each.outerHTML)"""


def phone(opened, given):
    seen = opened(render(given), **PHONE)
    return seen, seen.page


def pane(page, name):
    page.locator(f".tab-{name}").tap()


def lawn(page, number):
    pane(page, "zones")
    page.locator("#pane-zones .rows button").nth(number - 1).tap()


def part(page, name):
    page.locator(f"#pane-zone [data-part={name}]").tap()


def rate(page, label, code):
    group = page.locator("#pane-zone").get_by_role("group", name=label)
    group.locator("button").nth(code).tap()


def sketch(page, name, **sides):
    for side, length in sides.items():
        label = "Diagonal AC" if side == "AC" else f"Side {side}"
        page.locator("#pane-sketch").get_by_label(label, exact=True).fill(length)
    page.locator("#pane-sketch").get_by_label("What people call it").fill(name)


def tap_map(page):
    ground = page.locator("#map_lawnmap").bounding_box()
    page.touchscreen.tap(ground["x"] + ground["width"] / 2, ground["y"] + ground["height"] / 2)


def put(page):
    page.locator("#pane-sketch").get_by_role("button", name="Tap it on the map").tap()
    tap_map(page)


def saved(page, by="Ada Field"):
    pane(page, "reply")
    page.get_by_label("Your name").fill(by)
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Save reply").tap()
    return waiting.value.suggested_filename, waiting.value.path().read_bytes()


def content_of(data):
    """Return a reply's content, its digest checked by Python's own SHA-256."""
    outer = json.loads(data)
    assert set(outer) == {"lawnmap_reply", "digest", "content"}
    assert outer["lawnmap_reply"] == 1
    assert outer["digest"] == hashlib.sha256(outer["content"].encode("utf-8")).hexdigest()
    return json.loads(outer["content"])


def test_the_digest_is_sha_256(opened):
    page = opened(b"<!DOCTYPE html><title>x</title>").page
    page.add_script_tag(content=asset("reply.js"))
    chance = random.Random(4)
    letters = "aé€🌱\x00\n"
    texts = ["", *("".join(chance.choices(letters, k=n)) for n in range(150)), "a" * 100_000]
    found = page.evaluate("texts => texts.map((each) => sha256(each))", [*PUBLISHED, *texts])
    assert found[: len(PUBLISHED)] == list(PUBLISHED.values())
    assert found[len(PUBLISHED) :] == [hashlib.sha256(t.encode()).hexdigest() for t in texts]


def test_a_whole_visit_by_thumb(opened):
    seen, page = phone(opened, paper())
    lawn(page, 1)
    rate(page, "Moss cover, by eye", 4)
    rate(page, "Thatch, by eye", 1)
    page.get_by_label("Bare soil").fill("12,5")
    lawn(page, 2)
    rate(page, "Moss cover, by eye", 0)
    page.get_by_role("button", name="stands wet").tap()
    part(page, "cores")
    page.get_by_label("Brown layer, not squashed").fill("17")
    page.get_by_label("Points with moss").fill("6")
    page.get_by_label("Points in all").fill("20")
    page.get_by_role("button", name="Tap it on the map").tap()
    tap_map(page)
    page.get_by_role("button", name="Add this core").tap()
    lawn(page, 1)
    part(page, "work")
    page.get_by_role("button", name="Overseeding: Tick when done").tap()
    page.get_by_label("Amount used").fill("18500")
    pane(page, "sketch")
    sketch(page, "Behind the shed", AB="8", BC="6", AC="10", CD="8", DA="6")
    assert page.locator("#pane-sketch .outcome").text_content() == "about 48 m²"
    page.get_by_role("button", name="Add this lawn").tap()
    assert "Say where corner A is" in page.locator(".told").text_content()
    put(page)
    page.get_by_role("button", name="Add this lawn").tap()
    rate(page, "Moss cover, by eye", 5)
    pane(page, "answers")
    page.get_by_label("Narrowest way in, in cm?").fill("95")
    name, data = saved(page)
    assert re.fullmatch(r"visit-hollin-court-\d{4}-\d\d-\d\d-[0-9a-f]{8}\.json", name)
    content = content_of(data)
    zones = block_of(render(paper()))["zones"]
    assert content["kind"] == "visit"
    assert (content["by"], content["issued"]) == ("Ada Field", "3f2a9c41d07e")
    assert content["site"] == {"id": "", "title": "Hollin Court", "revision": 0}
    first, second = content["zones"]
    assert first == {
        "zone_id": zones[0]["zone_id"],
        "base": {"moss_rating": 3, "thatch_rating": 2, "bare_pct": None},
        "now": {"moss_rating": 4, "thatch_rating": 1, "bare_pct": 12.5},
    }
    assert second["now"] == {"moss_rating": 0, "drainage": "stands wet"}
    (core,) = content["cores"]
    assert (core["zone_id"], core["thatch_mm"]) == (zones[1]["zone_id"], 17)
    assert (core["moss_hits"], core["moss_points"]) == (6, 20)
    assert core["lonlat"] == pytest.approx([3.0, 55.0], abs=0.002)
    (job,) = content["work"]
    assert (job["operation"], job["application"]) == ("overseeding", "5")
    assert (job["amount"], job["unit"]) == (18500, "g")
    assert job["product"] == "Hard-wearing mixture (invented)"
    assert job["area_m2"] == zones[0]["work"][4]["area_m2"] > 0
    (made,) = content["sketches"]
    # 8 by 6 with a diagonal of 10: a right angle by Pythagoras.
    assert made["ring"] == [[0, 0], [8, 0], [8, 6], [0, 6]]
    assert made["at"] == pytest.approx([3.0, 55.0], abs=0.002)
    assert (made["how"], made["facts"]) == ("sides and diagonal", {"moss_rating": 5})
    assert content["answers"] == {"Narrowest way in, in cm?": "95"}
    assert reply_content.checked(content).ignored == ()
    assert len([each for each in seen.requests if not each.startswith("blob:")]) == 1
    assert (seen.console, seen.dialogs) == ([], [])


def test_what_was_done_outlives_a_reload_and_goes_when_told(opened):
    _, page = phone(opened, paper())
    lawn(page, 3)
    rate(page, "Moss cover, by eye", 5)
    pane(page, "sketch")
    sketch(page, "Half a sketch", AB="7")
    page.reload()
    assert "rated" in page.locator("#pane-zones .rows button").nth(2).text_content()
    pane(page, "sketch")
    assert page.get_by_label("Side AB").input_value() == "7"
    pane(page, "reply")
    page.get_by_role("button", name="Forget everything").tap()
    page.get_by_role("button", name="Tap again").tap()
    assert "Nothing has been taken down yet." in page.locator("#pane-reply").text_content()
    page.reload()
    assert "rated" not in page.locator("#pane-zones").text_content()


def test_a_phone_that_keeps_nothing_is_told_of(opened):
    seen = opened(render(paper()), **PHONE)
    seen.page.add_init_script(
        "Object.defineProperty(window, 'localStorage', {get() { throw new Error('no'); }})"
    )
    seen.page.reload()
    assert "does not let the page keep" in seen.page.locator(".told").text_content()
    lawn(seen.page, 1)
    rate(seen.page, "Moss cover, by eye", 1)
    assert content_of(saved(seen.page)[1])["zones"][0]["now"] == {"moss_rating": 1}


def test_the_reply_as_text_holds_the_same_file(opened):
    _, page = phone(opened, paper())
    lawn(page, 1)
    rate(page, "Moss cover, by eye", 1)
    pane(page, "reply")
    page.get_by_label("Your name").fill("Ada <b>Field</b> 🌱")
    page.evaluate(
        """() => { Object.defineProperty(navigator, 'clipboard',
          {value: {writeText: async (text) => { window.copied = text; }}}); }"""
    )
    page.get_by_role("button", name="Copy reply as text").tap()
    page.wait_for_function("window.copied")
    lines = page.evaluate("window.copied").split("\n")
    begin, end = (lines.index(f"-----{each} LAWNMAP REPLY-----") for each in ("BEGIN", "END"))
    block = lines[begin + 1 : end]
    assert {len(each) for each in block[:-1]} == {64}
    assert content_of(base64.b64decode("".join(block)))["by"] == "Ada <b>Field</b> 🌱"
    told = [each.replace("\xa0", " ") for each in lines[:begin]]
    assert "Front lawn, west: Moss cover, by eye: 1, a little (under 5 %)" in told


def test_without_a_clipboard_the_text_stands_there_to_copy(opened):
    _, page = phone(opened, paper())
    lawn(page, 1)
    rate(page, "Moss cover, by eye", 1)
    pane(page, "reply")
    page.get_by_label("Your name").fill("Ada")
    page.evaluate(
        """() => { Object.defineProperty(navigator, 'clipboard', {value: undefined});
          document.execCommand = () => false; }"""
    )
    page.get_by_role("button", name="Copy reply as text").tap()
    text = page.locator("#pane-reply textarea")
    text.wait_for(state="visible")
    assert "BEGIN LAWNMAP REPLY" in text.input_value()


def test_a_site_is_started_from_nothing_by_paces_and_by_corners(opened):
    _, page = phone(opened, empty_paper())
    page.get_by_role("button", name="Sketch the first lawn").tap()
    page.get_by_role("button", name="Three sides").tap()
    page.get_by_role("button", name="paces", exact=True).tap()
    sketch(page, "Corner bed", AB="30", BC="40", CA="50")
    page.get_by_role("button", name="Add this lawn").tap()
    assert "How long is one pace?" in page.locator(".told").text_content()
    page.get_by_label("Length of one pace").fill("0.8")
    assert page.locator("#pane-sketch .outcome").text_content() == "about 384 m²"
    page.get_by_role("button", name="Add this lawn").tap()
    pane(page, "sketch")
    page.get_by_role("button", name="tape or laser").tap()
    page.get_by_role("button", name="Corners", exact=True).tap()
    for place, (x, y) in enumerate([("0", "0"), ("10", "0"), ("6", "-4,5")]):
        page.get_by_label("Along, x").nth(place).fill(x)
        page.get_by_label("Out, y").nth(place).fill(y)
    page.locator("#pane-sketch").get_by_label("What people call it").fill("Slip")
    page.get_by_role("button", name="Add this lawn").tap()
    one, two = content_of(saved(page)[1])["sketches"]
    # 3-4-5 with the right angle at B: half of 24 by 32.
    assert one["how"] == "paces"
    assert one["ring"][2] == pytest.approx([24, 32])
    assert (two["how"], two["ring"]) == ("corners", [[0, 0], [10, 0], [6, -4.5]])


@pytest.mark.parametrize(
    ("sides", "said"),
    [
        ({"AB": "8", "BC": "6", "AC": "14", "CD": "8", "DA": "7"}, "AC is 14 m, but AB and BC"),
        ({"AB": "8", "BC": "6", "AC": "10", "CD": "2", "DA": "7"}, "AC is 10 m, but DA and CD"),
        ({"AB": "30", "BC": "6", "AC": "10", "CD": "8", "DA": "7"}, "AB is 30 m, but AC and BC"),
    ],
)
def test_sides_that_cannot_meet_are_refused_in_words(opened, sides, said):
    _, page = phone(opened, paper())
    pane(page, "sketch")
    sketch(page, "Wrong", **sides)
    assert said in page.locator("#pane-sketch .outcome.bad").text_content()
    page.get_by_role("button", name="Add this lawn").tap()
    pane(page, "zones")
    assert page.locator("#pane-zones .rows li").count() == 12


def test_figures_that_cannot_be_are_not_taken(opened):
    _, page = phone(opened, paper())
    lawn(page, 1)
    page.get_by_label("Bare soil").fill("120")
    assert page.locator("#pane-zone .bad:visible").text_content() == "Has to be from 0 to 100."
    page.get_by_label("Bare soil").fill("a lot")
    assert page.locator("#pane-zone .bad:visible").text_content() == "This is no number."
    part(page, "cores")
    page.get_by_label("Points with moss").fill("30")
    page.get_by_label("Points in all").fill("20")
    page.get_by_role("button", name="Add this core").tap()
    assert "More points with moss" in page.locator(".told").text_content()
    pane(page, "reply")
    page.get_by_role("button", name="Save reply").tap()
    assert page.locator(".told").text_content() == "Nothing has been taken down yet."


def test_the_phones_own_place(opened):
    where = {"longitude": 3.0002, "latitude": 55.0001, "accuracy": 4}
    seen = opened(render(paper()), **PHONE, geolocation=where, permissions=["geolocation"])
    page = seen.page
    lawn(page, 1)
    part(page, "cores")
    assert "useless to outline" in page.locator("#pane-zone").text_content()
    page.get_by_label("Brown layer").fill("9")
    page.get_by_role("button", name="Where the phone is now").tap()
    page.get_by_text("good to 4 m").wait_for()
    page.get_by_role("button", name="Add this core").tap()
    (core,) = content_of(saved(page)[1])["cores"]
    assert core["lonlat"] == [3.0002, 55.0001]


def card(page, title):
    return page.locator("#pane-zone .card").filter(has_text=title)


def test_only_what_is_put_on_has_an_amount_and_all_work_has_its_ground(opened):
    _, page = phone(opened, paper())
    lawn(page, 1)
    part(page, "work")
    card(page, "Scarifying").get_by_role("button").tap()
    assert card(page, "Scarifying").get_by_label("Amount used").count() == 0
    planned = block_of(render(paper()))["zones"][0]["work"][2]["area_m2"]
    ground = card(page, "Scarifying").get_by_label("Ground treated")
    assert float(ground.input_value()) == planned
    ground.fill("120,5")
    card(page, "Feeding").get_by_role("button").tap()
    card(page, "Feeding").get_by_label("Amount used").fill("3")
    card(page, "Feeding").get_by_label("Unit").fill("kg")
    card(page, "Feeding").get_by_label("Product").fill("Leftover feed")
    card(page, "Feeding").get_by_label("Ground treated").fill("")
    scarified, fed = content_of(saved(page)[1])["work"]
    assert (scarified["amount"], scarified["unit"], scarified["product"]) == (None, "", "")
    assert scarified["area_m2"] == 120.5
    assert (fed["amount"], fed["unit"], fed["product"]) == (3, "kg", "Leftover feed")
    assert fed["area_m2"] is None
    assert "120.5 m²" in page.locator("#pane-reply li").first.text_content()


def test_what_is_on_record_is_shown_and_not_ticked_again(opened):
    _, page = phone(opened, dated_paper())
    lawn(page, 1)
    part(page, "work")
    mown, sown = card(page, "Mowing"), card(page, "Overseeding")
    assert "✓ done on Monday 14 September 2026" in mown.text_content()
    assert mown.get_by_role("button").count() == 0
    assert "Planned for: Monday 21 September 2026" in sown.text_content()
    assert sown.get_by_role("button").count() == 1
    assert problems(page) == []
    assert page.evaluate(DIM) == []
    page.locator("#pane-zone").get_by_role("button", name="All lawns").tap()
    resting = block_of(render(dated_paper()))["zones"]
    place = next(n for n, z in enumerate(resting, 1) if "leave it alone" in str(z["work"]))
    lawn(page, place)
    assert card(page, "Leave it alone").get_by_role("button").count() == 0


def test_a_day_to_come_is_not_taken(opened):
    _, page = phone(opened, paper())
    lawn(page, 1)
    part(page, "work")
    card(page, "Scarifying").get_by_role("button").tap()
    day = card(page, "Scarifying").get_by_label("Day", exact=True)
    here = dt.date.fromisoformat(page.evaluate("new Date().toLocaleDateString('sv')"))
    assert (day.input_value(), day.get_attribute("max")) == (here.isoformat(), here.isoformat())
    day.fill((here - dt.timedelta(days=3)).isoformat())
    day.fill((here + dt.timedelta(days=1)).isoformat())
    assert "has not come yet" in page.locator(".told").text_content()
    assert day.input_value() == (here - dt.timedelta(days=3)).isoformat()
    part(page, "facts")
    page.get_by_text("More about this lawn").tap()
    fed = page.locator("#pane-zone").get_by_label("Last fed")
    fed.fill((here + dt.timedelta(days=9)).isoformat())
    assert fed.input_value() == ""
    content = content_of(saved(page)[1])
    assert content["work"][0]["date"] == (here - dt.timedelta(days=3)).isoformat()
    assert content["zones"] == []


def test_something_is_put_on_the_map(opened):
    where = {"longitude": 3.0002, "latitude": 55.0001, "accuracy": 4}
    given = opened(render(paper()), **PHONE, geolocation=where, permissions=["geolocation"])
    page = given.page
    pane(page, "answers")
    page.get_by_role("button", name="Hidden in the ground").tap()
    page.get_by_role("button", name="boundary wire").tap()
    page.locator("#pane-answers").get_by_role("button", name="Where the phone is now").tap()
    page.get_by_text("good to 4 m").wait_for()
    page.get_by_role("button", name="Put it on the map").tap()
    (place,) = content_of(saved(page)[1])["places"]
    assert place["facts"] == {"hidden_kind": "boundary wire"}
    assert (place["feature"], place["lonlat"]) == ("hidden", [3.0002, 55.0001])


def panes_of(page):
    yield "zones"
    for name in ("facts", "cores", "work"):
        lawn(page, 1)
        part(page, name)
        yield name
    for name in ("sketch", "answers", "reply", "map"):
        pane(page, name)
        yield name


def test_every_pane_is_bright_large_and_no_wider_than_the_phone(opened):
    _, page = phone(opened, paper())
    for name in panes_of(page):
        assert page.evaluate(DIM) == [], name
        assert problems(page) == [], name
        assert page.evaluate(SMALL) == [], name
        assert page.evaluate("document.documentElement.scrollWidth") == 390, name


def test_beside_the_map_on_a_wide_screen(opened):
    page = opened(render(paper()), width=1280, height=800).page
    assert page.locator("path.zone.leaflet-interactive").count() == 12
    page.locator("path.zone.leaflet-interactive").nth(1).click(position={"x": 60, "y": 40})
    assert page.locator("#pane-zone h2").text_content() == "2 Front lawn, east"
    assert page.locator("#map_lawnmap").is_visible()


def test_without_scripts_it_is_a_plain_page(opened):
    page = opened(render(paper()), **PHONE, java_script_enabled=False).page
    assert page.locator(".still article").count() == 12
    assert page.locator(".still").is_visible()
    assert not page.locator(".tabs").is_visible()
    assert page.locator(".still article").first.locator("li").count() == 6


def test_a_hostile_name_is_shown_as_typed_and_does_nothing(opened):
    name = "\n".join(HOSTILE)  # all at once, since a visit takes its time
    seen, page = phone(opened, paper([name] * 12, title=name, said=name))
    shown = "el => el.textContent"
    assert page.locator("#pane-zones strong").first.evaluate(shown) == name
    lawn(page, 1)
    rate(page, "Moss cover, by eye", 5)
    part(page, "work")
    pane(page, "sketch")
    sketch(page, name[:150].replace("\n", " "), AB="3", BC="4", AC="5", CD="3", DA="4")
    put(page)
    page.get_by_role("button", name="Add this lawn").tap()
    assert content_of(saved(page, by=name[:100])[1])["site"]["title"] == name
    assert (seen.console, seen.dialogs) == ([], [])
    assert len([each for each in seen.requests if not each.startswith("blob:")]) == 1
