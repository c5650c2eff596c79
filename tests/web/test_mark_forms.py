"""The forms of the marking page with real mouse, keyboard and touch."""

import base64
import io
import re
import threading
import time

import pytest
from PIL import Image

from lawnmap import schema
from tests.web import desks
from tests.web.form_page import HOSTILE, LOOKED, MARK, Stub, ring, zone

pytestmark = pytest.mark.browser


@pytest.fixture
def desk():
    made = Stub()
    thread = threading.Thread(target=made.server.serve)
    thread.start()
    yield made
    made.server.shutdown()
    thread.join(timeout=10)


@pytest.fixture
def opened(chromium, desk):
    contexts, wrong = [], []

    def open_page(width=1280, **options):
        context = chromium.new_context(viewport={"width": width, "height": 900}, **options)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("console", lambda message: wrong.append(message.text))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(desk.server.address)
        page.wait_for_selector("body[data-ready]")
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert wrong == []


def choose(page, *keys):
    page.evaluate("(keys) => lm.choose(keys)", list(keys))


def facts(page, key):
    return page.evaluate("(key) => lm.state.features.get(key).properties", key)


def until(page, expression):
    """Wait until it holds; the browser's own waiting would need eval, which the page forbids."""
    end = time.monotonic() + 10
    while not page.evaluate(expression):
        assert time.monotonic() < end, expression
        page.wait_for_timeout(20)


def option(page, column, value, where="#facts"):
    return page.locator(f"{where} .{column} label.option").nth(value)


def said(page):
    return page.locator("#said").inner_text()


def test_rating_by_mouse_keyboard_and_touch(opened):
    page = opened()
    choose(page, "front")
    option(page, "moss_rating", 3).click()
    assert facts(page, "front")["moss_rating"] == 3
    assert "Front lawn" in said(page)
    assert "much" in said(page)
    page.keyboard.press("ArrowRight")
    assert facts(page, "front")["moss_rating"] == 4
    page.keyboard.press("1")
    assert facts(page, "front")["moss_rating"] == 1
    page.keyboard.press("Delete")
    assert "moss_rating" not in facts(page, "front")
    page.evaluate("for (let n = 0; n < 4; n += 1) lm.undo()")
    assert facts(page, "front")["moss_rating"] == 2
    assert option(page, "moss_rating", 2).locator("input").is_checked()
    phone = opened(width=390, has_touch=True)
    choose(phone, "front")
    option(phone, "thatch_rating", 4).tap()
    assert facts(phone, "front")["thatch_rating"] == 4


def test_the_pictures_show_what_the_words_say(opened):
    page = opened()
    choose(page, "front")
    shares = [dark(page.locator("#facts .picture.moss").nth(n)) for n in range(6)]
    # Bounds of the classes as columns.csv gives them; the frame and the blades are not dark.
    bounds = [(0, 0), (0, 5), (5, 25), (25, 50), (50, 75), (75, 100)]
    for share, (low, high) in zip(shares, bounds, strict=True):
        assert low - 2 <= share <= high + 2
    assert shares == sorted(shares)
    depth = [layer(page.locator("#facts .picture.thatch").nth(n)) for n in range(5)]
    for mm, (low, high) in zip(depth, [(0, 6), (6, 13), (13, 19), (19, 25), (25, 50)], strict=True):
        assert low <= mm <= high
    again = opened()
    choose(again, "front")
    first, second = (
        each.locator("#facts .picture").evaluate_all("(all) => all.map((p) => p.outerHTML).join()")
        for each in (page, again)
    )
    assert first == second


def dark(picture):
    """Share of pixels darker than any blade of grass [%], read in grey."""
    pixels = Image.open(io.BytesIO(picture.screenshot())).convert("L")
    inner = pixels.crop((3, 3, pixels.width - 3, pixels.height - 3))
    counts = inner.histogram()
    return 100 * sum(counts[:90]) / sum(counts)


def layer(picture):
    """Depth of the brown layer [mm] against the ticks, of which the space is 10 mm."""
    high = picture.locator(".layer").evaluate("(box) => box.getBBox().height")
    ticks = picture.locator(".ticks").get_attribute("d")
    ys = [float(y) for y in re.findall(r"M[\d.]+ ([\d.]+)h", ticks)]
    return high / (ys[1] - ys[0]) * 10


def test_several_at_once_only_what_is_touched(opened):
    page = opened()
    choose(page, "front", "shade")
    assert page.locator("#facts .moss_rating input:checked").count() == 0
    assert "differs: 2 · 4" in page.locator("#facts .moss_rating").inner_text()
    page.get_by_label("Sun a day, as seen").fill("3,5")
    page.keyboard.press("Tab")
    for key, moss in (("front", 2), ("shade", 4)):
        assert facts(page, key)["sun_hours_seen"] == 3.5
        assert facts(page, key)["moss_rating"] == moss
    assert "bare_pct" not in facts(page, "shade")
    page.evaluate("lm.undo()")  # one stroke for both
    assert "sun_hours_seen" not in facts(page, "front")
    assert "sun_hours_seen" not in facts(page, "shade")
    assert page.evaluate("Object.keys(lm.changes())") == []


@pytest.mark.parametrize(
    ("label", "typed", "told"),
    [
        ("Moss cover, measured", "140", "0 to 100 %"),
        ("Moss cover, measured", "-1", "0 to 100 %"),
        ("Moss cover, measured", "much", "not a number"),
        ("Thatch, measured", "1e2", "not a number"),
        ("Thatch, measured", "200.5", "0 to 200 mm"),
        ("Sun a day, as seen", "25", "0 to 24 h"),
    ],
)
def test_what_does_not_hold_is_told_and_not_written(opened, label, typed, told):
    page = opened()
    choose(page, "front")
    before = facts(page, "front")
    field = page.get_by_label(label)
    field.fill(typed)
    field.press("Enter")
    assert field.get_attribute("aria-invalid") == "true"
    described = field.get_attribute("aria-describedby").split()
    texts = [page.locator(f"#{each}").inner_text() for each in described]
    assert any(told in each and "Nothing was changed" in each for each in texts)
    assert facts(page, "front") == before
    field.fill("7")
    field.press("Enter")
    assert field.get_attribute("aria-invalid") == "false"
    assert 7 in facts(page, "front").values()


def test_an_emptied_field_takes_the_fact_away(opened):
    page = opened()
    choose(page, "shade")
    assert "measured value too" in page.locator("#facts .moss_rating").inner_text()
    field = page.get_by_label("Moss cover, measured")
    assert field.input_value() == "60.5"
    field.fill("")
    field.press("Enter")
    assert "moss_cover_pct" not in facts(page, "shade")
    assert "measured value too" not in page.locator("#facts .moss_rating").inner_text()


def test_what_was_typed_belongs_to_what_was_chosen_then(opened):
    page = opened()
    choose(page, "front")
    page.get_by_label("Note for yourself").type("gate is stiff")
    choose(page, "shade")  # as a tap on the map does, which may leave no time for a change event
    assert facts(page, "front")["private_note"] == "gate is stiff"
    assert "private_note" not in facts(page, "shade")


def test_private_and_public_are_told_apart(opened):
    page = opened()
    choose(page, "front")
    label = page.locator("#facts .fact-private_note label").inner_text()
    assert "stays with you" in label
    assert "stays with you" not in page.locator("#facts .fact-public_note label").inner_text()


@pytest.mark.parametrize(
    ("key", "has", "has_not"),
    [
        ("f1", ["Radius of the crown", "Leaves", "Height"], ["Steps", "Flow", "Moss by eye"]),
        ("f2", ["Thatch, measured", "Points that touched moss", "Day"], ["Leaves", "How deep"]),
        ("f3", ["Clear width", "Steps", "Name"], ["Height", "Day"]),
    ],
)
def test_fields_by_kind(opened, key, has, has_not):
    page = opened()
    choose(page, key)
    labels = page.locator("#facts .fact > label, #facts legend").all_inner_texts()
    assert set(has) <= set(labels)
    assert not set(has_not) & set(labels)


def test_every_fact_of_the_table_has_a_field(opened):
    page = opened()
    choose(page, "front")
    shown = page.locator("#facts [data-column]").evaluate_all(
        "(all) => all.map((each) => each.dataset.column)"
    )
    fixed = {"zone_id", "came_from"}
    assert set(shown) == {column.name for column in schema.facts("zones")} - fixed
    assert len(shown) == len(set(shown))


def test_whole_numbers_where_things_are_counted(opened):
    page = opened()
    choose(page, "f3")
    field = page.get_by_label("Steps")
    field.fill("2.5")
    field.press("Enter")
    assert "steps" not in facts(page, "f3")
    field.fill("3")
    field.press("Enter")
    assert facts(page, "f3")["steps"] == 3


def test_painting_with_touch_and_by_keyboard(opened):
    page = opened(width=390, has_touch=True)
    option(page, "moss_rating", 5, "#paint").tap()
    page.get_by_role("button", name="Start painting").tap()
    assert page.evaluate("lm.state.mode") == "paint"
    page.evaluate("lm.emit('tapped', 'front')")  # what the map says of a tap
    assert facts(page, "front")["moss_rating"] == 5
    assert "nearly all moss" in page.locator("#paint .zones li").first.inner_text()
    assert page.locator("#paint .zones bdi").last.inner_text() == HOSTILE
    page.locator("#paint .zones button").nth(1).tap()
    assert facts(page, "shade")["moss_rating"] == 5
    page.get_by_label("Thatch by eye").locator("visible=true").first.check()
    page.locator("#paint .thatch_rating input").nth(2).focus()
    page.keyboard.press("3")
    page.locator("#paint .zones button").nth(0).press("Enter")
    assert facts(page, "front")["thatch_rating"] == 3
    page.evaluate("lm.emit('tapped', 'f1')")
    assert "Only zones" in said(page)
    assert "thatch_rating" not in facts(page, "f1")
    page.locator("#paint .zones button").nth(0).press("Escape")
    assert page.evaluate("lm.state.mode") == "choose"
    assert not page.locator("#paint .zones").is_visible()
    page.evaluate("for (let n = 0; n < 3; n += 1) lm.undo()")
    assert page.evaluate("Object.keys(lm.changes())") == []


def test_many_zones_are_found_by_name(opened):
    page = opened()
    page.evaluate(
        """() => {
          const zone = lm.state.features.get("front");
          const many = Array.from({ length: 999 }, (_, n) => [`z${n}`, { ...zone,
            properties: { feature: "zone", zone_id: `z${n}`, name: `Strip ${n}` } }]);
          lm.change("many", Object.fromEntries(many));
        }"""
    )
    page.get_by_role("button", name="Start painting").click()
    assert page.locator("#paint .zones button").count() == 60
    page.get_by_label("Find a zone").fill("strip 99")
    assert page.locator("#paint .zones button").count() == 10  # 99 and 990 to 998
    page.locator("#paint .zones button").nth(1).focus()
    page.keyboard.press("Enter")
    assert facts(page, "z990")["moss_rating"] == 3
    page.evaluate("lm.emit('tapped', 'front')")
    assert page.locator("#paint .zones button").count() == 10
    assert "3 much" in page.evaluate("document.activeElement.textContent")
    assert facts(page, "front")["moss_rating"] == 3


def test_the_plan_is_one_tap_away_and_ages(opened, desk):
    page = opened()
    choose(page, "front")
    option(page, "moss_rating", 4).click()
    page.get_by_role("button", name="What the plan would say").click()
    page.wait_for_selector(".outlook .steps")
    assert page.locator(".outlook .steps").inner_text() == "Scarify <b>twice</b>"
    asked = desk.of("plan")[0]
    assert asked["zone_id"] == "front"
    assert asked["changes"]["front"]["properties"]["moss_rating"] == 4
    option(page, "moss_rating", 1).click()
    assert "changed since" in page.locator(".outlook").inner_text()


def test_a_photo_is_made_small_and_listed(opened, desk):
    page = opened()
    choose(page, "front")
    data = io.BytesIO()
    photo = Image.new("RGB", (3000, 1500), "green")
    exif = Image.Exif()
    exif[0x010F] = "a camera"
    photo.save(data, "JPEG", exif=exif)
    page.locator("#facts input[type=file]").set_input_files(
        {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": data.getvalue()}
    )
    page.wait_for_selector(".photos img")
    assert facts(page, "front")["photos"] == ["photos/ab.webp"]
    sent = desk.of("photo")[0]
    assert sent["key"] == "front"
    got = base64.b64decode(sent["data"], validate=True)
    assert Image.open(io.BytesIO(got)).size == (1600, 800)
    assert b"a camera" not in got
    page.get_by_role("button", name="Take photo 1 out").click()
    assert "photos" not in facts(page, "front")
    page.evaluate("lm.undo()")
    assert page.locator(".photos li").count() == 1


def test_markup_is_shown_as_typed(opened):
    page = opened()
    choose(page, "back")
    assert page.get_by_label("Name", exact=True).input_value() == HOSTILE
    assert page.get_by_label("Note for yourself").input_value() == HOSTILE
    conflict = {"key": "back", "field": "name", "base": "x", "mine": HOSTILE, "theirs": HOSTILE}
    page.evaluate("(c) => lm.emit('clash', { conflicts: [c] })", conflict)
    assert page.locator("#clash .side bdi").first.inner_text() == HOSTILE
    page.keyboard.press("Escape")
    assert page.evaluate("window.hit") is None
    assert page.locator("img[src=x]").count() == 0


CONFLICTS = [
    {"key": "front", "field": "moss_rating", "base": 2, "mine": 3, "theirs": 5},
    {"key": "front", "field": "geometry",
     "base": {"type": "Polygon", "coordinates": [ring(0)]},
     "mine": {"type": "Polygon", "coordinates": [[*ring(0)[:2], [3e-4, 1e-4], *ring(0)[3:]]]},
     "theirs": {"type": "Polygon", "coordinates": [[*ring(0)[:3], [0, 2e-4], [0, 0]]]}},
    {"key": "shade", "field": "feature itself", "base": zone(1, "shade")[1], "mine": None,
     "theirs": zone(1, "shade", name="Under the beech", public_note="Roots")[1]},
]  # fmt: skip


def settled(page):
    """Put up the dialog; the answer is in window.settled later."""
    page.evaluate(
        """async (conflicts) => {
          const { settle } = await import("/mark/clash.js");
          window.settled = "open";
          settle(conflicts).then((choices) => (window.settled = choices));
        }""",
        CONFLICTS,
    )
    page.wait_for_selector("#clash[open]")


def test_both_sides_are_shown_and_each_is_chosen(opened, desk):
    page = opened()
    settled(page)
    text = page.locator("#clash").inner_text()
    for wanted in ("Moss by eye", "Outline", "The feature itself", "3 much", "5 nearly all moss",
                   "taken away", "Roots", "Front lawn"):  # fmt: skip
        assert wanted in text
    assert page.locator("#clash svg.outline").count() == 3
    until(page, "document.querySelectorAll('#clash .corners')[0].textContent.includes('246.8')")
    page.get_by_role("button", name="Save as chosen").click()
    assert "3 still to choose" in page.locator("#clash .note").inner_text()
    assert page.evaluate("document.activeElement.type") == "radio"
    page.keyboard.press("ArrowRight")  # theirs, of the first
    page.locator("#clash .sides").nth(1).locator("label").nth(0).click()
    page.locator("#clash .sides").nth(2).locator("label").nth(1).click()
    assert page.locator("#clash .note").inner_text() == ""
    page.get_by_role("button", name="Save as chosen").press("Enter")
    until(page, "window.settled !== 'open'")
    assert page.evaluate("window.settled") == {
        "front": {"moss_rating": "theirs", "geometry": "mine"},
        "shade": {"feature itself": "theirs"},
    }


@pytest.mark.parametrize("leave", ["Escape", "button"])
def test_leaving_the_dialog_loses_nothing(opened, leave):
    page = opened()
    choose(page, "front")
    option(page, "moss_rating", 3).click()
    before = page.evaluate("JSON.stringify(lm.changes())")
    settled(page)
    page.get_by_role("button", name="All theirs").click()
    if leave == "Escape":
        page.keyboard.press("Escape")
    else:
        page.get_by_role("button", name="Not now").click()
    until(page, "window.settled !== 'open'")
    assert page.evaluate("window.settled") is None
    assert page.evaluate("JSON.stringify(lm.changes())") == before


@pytest.mark.parametrize("width", [390, 1280])
def test_it_can_be_read_and_hit(opened, width):
    page = opened(width=width)
    choose(page, "front", "shade")
    page.evaluate("document.querySelectorAll('details').forEach((each) => (each.open = true))")
    page.get_by_role("button", name="Start painting").click()
    clean = {"pale": [], "small": [], "wide": 0}
    assert page.evaluate(LOOKED, "#facts") == clean
    assert page.evaluate(LOOKED, "#paint") == clean
    choose(page, "f1")
    assert page.evaluate(LOOKED, "#facts") == clean
    settled(page)
    assert page.evaluate(LOOKED, "#clash") == clean


def test_it_can_be_read_and_hit_on_the_whole_page(shared):
    page, other = shared
    tap(page, "Front")
    option(page, "moss_rating", 3).tap()
    page.get_by_role("button", name="What the plan would say").tap()
    page.wait_for_selector(".outlook .warnings")
    page.evaluate("document.querySelectorAll('details').forEach((each) => (each.open = true))")
    clean = {"pale": [], "small": [], "wide": 0}
    assert page.evaluate(LOOKED, "#facts") == clean
    page.get_by_role("tab", name="Rate").tap()
    page.get_by_role("button", name="Start painting").tap()
    assert page.evaluate(LOOKED, "#paint") == clean
    changed_elsewhere(other)
    page.keyboard.press("Control+s")
    page.wait_for_selector("#clash[open]")
    assert page.evaluate(LOOKED, "#clash") == clean


def test_every_input_has_a_name(opened):
    page = opened()
    for keys in (["front"], ["front", "shade"], ["f1"], ["f2"], ["f3"]):
        choose(page, *keys)
        page.evaluate("document.querySelectorAll('details').forEach((each) => (each.open = true))")
        nameless = page.evaluate(
            """[...document.querySelectorAll("input, select, textarea")]
               .filter((each) => ![...(each.labels || [])].some((l) => l.innerText.trim()))
               .map((each) => each.outerHTML)"""
        )
        assert nameless == []


@pytest.fixture
def shared(tmp_path, chromium):
    """Open the whole page on a site that somebody else can change, too."""
    zones = [desks.zone("front", moss_rating=2), desks.zone("shade", 10, moss_rating=4)]
    wrong = []
    with desks.open_page(desks.made(tmp_path / "site", *zones)) as other:
        context = chromium.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(other.server.address)
        page.wait_for_selector("html[data-ready]")
        page.evaluate("async () => { window.lm = await import('/mark/state.js'); }")
        yield page, other
        context.close()
    assert wrong == []


def stands(other):
    """Return what the site file holds: properties and outline by key."""
    found = other.get("/api/site")["features"]
    return {key: (each["properties"], each["geometry"]) for key, each in found}


def changed_elsewhere(other):
    """Somebody else rates one zone, moves its corner and writes a note on the other, and saves."""
    front = desks.zone("front", moss_rating=5)
    front["geometry"]["coordinates"][0][2] = desks.place(9, 9)
    shade = desks.zone("shade", 10, moss_rating=4, public_note="roots")
    body = {"revision": 1, "changes": {"front": front, "shade": shade}, "choices": {}}
    assert other.get("/api/save", body)["revision"] == 2
    return front


def tap(page, name):
    """Tap the map where the zone's name stands."""
    box = page.locator("#map").get_by_text(name, exact=True).bounding_box()
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


def test_taps_on_the_map_paint(shared):
    page, other = shared
    page.get_by_role("tab", name="Rate").tap()
    page.get_by_role("button", name="Start painting").tap()
    option(page, "moss_rating", 1, "#paint").tap()
    tap(page, "Front")
    tap(page, "Shade")
    assert [facts(page, key)["moss_rating"] for key in ("front", "shade")] == [1, 1]
    page.keyboard.press("Control+s")
    until(page, "lm.state.revision === 2")
    assert stands(other)["shade"][0]["moss_rating"] == 1


def test_the_plan_of_the_desk_follows_the_rating(shared):
    page, _ = shared
    tap(page, "Front")
    said_by_plan = []
    for rating in (0, 4):
        option(page, "moss_rating", rating).tap()
        page.get_by_role("button", name="What the plan would say").tap()
        page.wait_for_selector(".outlook .steps, .outlook .warnings")
        said_by_plan.append(page.locator(".outlook").inner_text())
    assert "Scarifying" not in said_by_plan[0]
    assert "Scarifying" in said_by_plan[1]


def test_a_key_that_saves_takes_up_what_is_being_typed(shared):
    page, other = shared
    tap(page, "Shade")
    page.get_by_label("Note for everybody").click()
    page.keyboard.type("wet corner")
    page.keyboard.press("Control+s")
    until(page, "lm.state.revision === 2")
    assert stands(other)["shade"][0]["public_note"] == "wet corner"
    page.keyboard.type(" by the tap")  # the field is still there, and in it
    page.keyboard.press("Control+s")
    until(page, "lm.state.revision === 3")
    assert stands(other)["shade"][0]["public_note"] == "wet corner by the tap"


def test_photos_of_the_site_are_shown_again(shared):
    page, other = shared
    tap(page, "Front")
    data = io.BytesIO()
    Image.new("RGB", (64, 32), "green").save(data, "JPEG")
    page.locator("#facts input[type=file]").set_input_files(
        {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": data.getvalue()}
    )
    page.wait_for_selector(".photos img[src]")
    page.keyboard.press("Control+s")
    until(page, "lm.state.revision === 2")
    assert len(stands(other)["front"][0]["photos"]) == 1
    page.reload()
    page.wait_for_selector("html[data-ready]")
    tap(page, "Front")
    page.wait_for_selector(".photos img[src^='data:image/webp']")


@pytest.mark.parametrize("side", ["mine", "theirs"])
def test_two_people_changed_the_same(shared, side):
    page, other = shared
    tap(page, "Front")
    option(page, "moss_rating", 3).tap()
    corner = desks.place(12, 12)
    page.evaluate(
        """(corner) => {
          const feature = structuredClone(lm.state.features.get("front"));
          feature.geometry.coordinates[0][2] = corner;
          lm.change("corner", { front: feature });
        }""",
        corner,
    )
    page.get_by_label("Sun a day, as seen").fill("4")
    page.keyboard.press("Tab")
    theirs = changed_elsewhere(other)
    page.keyboard.press("Control+s")
    page.wait_for_selector("#clash[open]")
    assert "5 nearly all moss" in page.locator("#clash").inner_text()
    assert page.locator("#clash svg.outline").count() == 2
    page.get_by_role("button", name="Not now").tap()
    assert stands(other)["front"][0]["moss_rating"] == 5
    assert facts(page, "front")["moss_rating"] == 3  # neither side lost anything
    assert facts(page, "front")["sun_hours_seen"] == 4
    page.keyboard.press("Control+s")
    page.wait_for_selector("#clash[open]")
    page.get_by_role("button", name=f"All {side}").tap()
    page.get_by_role("button", name="Save as chosen").tap()
    until(page, "lm.state.revision === 3")
    front, outline = stands(other)["front"]
    assert front["moss_rating"] == {"mine": 3, "theirs": 5}[side]
    wanted = corner if side == "mine" else theirs["geometry"]["coordinates"][0][2]
    assert outline["coordinates"][0][2] == pytest.approx(wanted, abs=1e-9)
    assert front["sun_hours_seen"] == 4
    assert stands(other)["shade"][0]["public_note"] == "roots"
    assert facts(page, "front") == front


@pytest.mark.parametrize("path", sorted(MARK.glob("*.js")), ids=lambda path: path.name)
def test_no_module_makes_markup(path):
    text = path.read_text("utf-8")
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(", text)


def test_every_word_is_there_and_used():
    words = (MARK / "form_words.js").read_text("utf-8")
    table = words[words.index("const WORDS") : words.index("/* Names of the groups")]
    keys = set(re.findall(r"^  (\w+):", table, re.MULTILINE))
    mine = [path for path in MARK.glob("*.js") if "form_words.js" in path.read_text("utf-8")]
    sources = "\n".join(path.read_text("utf-8") for path in mine)
    assert {key for key in keys if f'"{key}"' not in sources} == set()
    assert set(re.findall(r'\bword\("(\w+)"', sources)) <= keys


def test_every_fact_has_a_name_in_words():
    words = (MARK / "form_words.js").read_text("utf-8")
    table = words[words.index("const COLUMNS") : words.index("/* One wording")]
    names = set(re.findall(r"^  (\w+):", table, re.MULTILINE))
    facts = {column.name for name in ("zones", "features") for column in schema.facts(name)}
    assert names == facts | {"photos"}
