"""The marking page in a real browser, with real mouse, keyboard and touch, on a real site folder.

After each kind of work the site file is read back and judged by shapely, which knows nothing of the
page: every ring closed, every outline counterclockwise (RFC 7946, 3.1.6), every shape valid.
"""

import contextlib
import json
import re
import shutil
from pathlib import Path

import pytest
import shapely
from shapely.geometry import shape

from tests.axe import problems
from tests.web.desks import open_page

pytestmark = pytest.mark.browser

SAMPLE = Path(__file__).parents[2] / "sample_geo" / "site"
WIDE, PHONE = {"width": 1280, "height": 800}, {"width": 390, "height": 844}


class Seen:
    """A page on a site, and what is in the site file."""

    def __init__(self, page, folder, address):
        self.page, self.folder, self.address = page, folder, address
        self.console = []
        page.on("console", lambda message: self.console.append(message.text))
        page.on("pageerror", lambda error: self.console.append(str(error)))
        page.on("dialog", lambda dialog: dialog.accept())

    def load(self):
        self.page.goto(self.address)
        self.ready()

    def ready(self):
        self.page.wait_for_selector("html[data-ready]")
        self.page.wait_for_timeout(200)

    def pixel(self, lonlat):
        """Return where a place is in the window."""
        return self.page.evaluate(
            """async (at) => {
              const { chart } = await import("/mark/map.js");
              const box = chart.map.getContainer().getBoundingClientRect();
              const { x, y } = chart.pixel(at);
              return [box.left + x, box.top + y];
            }""",
            list(lonlat),
        )

    def click(self, lonlat, off=(0, 0), **more):
        x, y = self.pixel(lonlat)
        self.page.mouse.move(x + off[0], y + off[1], steps=2)
        self.page.mouse.click(x + off[0], y + off[1], **more)

    def tap(self, lonlat, off=(0, 0)):
        x, y = self.pixel(lonlat)
        self.page.touchscreen.tap(x + off[0], y + off[1])

    def drag(self, start, end, off=(0, 0)):
        """Drag by mouse in several moves."""
        x, y = self.pixel(start)
        to_x, to_y = self.pixel(end)
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        self.page.mouse.move(to_x + off[0], to_y + off[1], steps=6)
        self.page.mouse.up()
        self.settle()

    def settle(self):
        """Wait until the server has answered what the last stroke asked."""
        self.page.wait_for_load_state("networkidle")
        self.page.wait_for_timeout(150)

    def state(self, script):
        return self.page.evaluate(
            f"""async () => {{
              const {{ state, changes, steps }} = await import("/mark/state.js");
              return {script};
            }}"""
        )

    def feature(self, key):
        return self.state(f"state.features.get({json.dumps(key)})")

    def chosen(self):
        return self.state("[...state.chosen]")

    def choose(self, *keys):
        self.page.evaluate(
            """async (keys) => {
              (await import("/mark/state.js")).choose(keys);
              (await import("/mark/map.js")).fitKeys(keys);
            }""",
            list(keys),
        )
        self.settle()

    def look(self, lonlat, zoom=20):
        """Bring a place into the middle of the map."""
        self.page.evaluate(
            """async ([lon, lat, zoom]) =>
              (await import("/mark/map.js")).chart.map.setView([lat, lon], zoom)""",
            [*lonlat, zoom],
        )

    def key(self, name, times=1):
        for _ in range(times):
            self.page.keyboard.press(name)

    def focus_map(self):
        self.page.locator("#map").focus()

    def save(self):
        """Save by key; return the features of the site file, by zone_id or by name."""
        before = self.document()["lawnmap"]["revision"]
        self.page.keyboard.press("Control+s")
        self.page.wait_for_function(
            "() => document.querySelector('#steps .main').textContent === 'Saved'"
        )
        assert self.document()["lawnmap"]["revision"] == before + 1
        return self.checked()

    def document(self):
        return json.loads((self.folder / "site.geojson").read_text(encoding="utf-8"))

    def checked(self):
        document = self.document()
        assert document["type"] == "FeatureCollection"
        assert "crs" not in document
        found = {}
        for feature in document["features"]:
            assert set(feature) >= {"type", "properties", "geometry"}
            check_shape(feature["geometry"])
            properties = feature["properties"]
            found[properties.get("zone_id") or properties.get("name")] = feature
        return found


def check_shape(geometry):
    outline = shape(geometry)
    assert outline.is_valid, shapely.is_valid_reason(outline)
    if geometry["type"] == "Polygon":
        polygons = [geometry["coordinates"]]
    elif geometry["type"] == "MultiPolygon":
        polygons = geometry["coordinates"]
    else:
        return
    for polygon in polygons:
        for place, ring in enumerate(polygon):
            assert ring[0] == ring[-1]
            assert len(ring) >= 4
            assert shapely.LinearRing(ring).is_ccw == (place == 0)


@pytest.fixture
def marking(chromium, tmp_path):
    """Open a copy of the sample site, wide with a mouse or as small as a phone with a thumb."""
    with contextlib.ExitStack() as stack:
        folder = tmp_path / "site"
        shutil.copytree(SAMPLE, folder)

        def opened(viewport=WIDE, **more):
            from lawnmap.store.folder import Folder

            server = stack.enter_context(open_page(Folder(folder))).server
            context = stack.enter_context(
                contextlib.closing(chromium.new_context(viewport=viewport, **more))
            )
            seen = Seen(context.new_page(), folder, server.address)
            seen.load()
            return seen

        yield opened


def corners(feature):
    return [tuple(each) for each in feature["geometry"]["coordinates"][0][:-1]]


def east_edge(feature):
    """Return the two most eastern corners, the southern one first."""
    return sorted(sorted(corners(feature))[-2:], key=lambda at: at[1])


def shifted(at, east=0.0, north=0.0):
    return at[0] + east / 66_400, at[1] + north / 111_300  # metres at 53.4° north


def area(feature):
    """Return an area in square degrees, to compare with."""
    return shape(feature["geometry"]).area


def test_a_day_of_marking_with_the_mouse(marking):
    seen = marking()
    page = seen.page
    before = seen.checked()
    assert page.title() == "Marram House (invented): marking zones"
    assert page.evaluate("location.hash") == ""  # the token has left the bar

    # Draw: two corners meant for a neighbour's, each missed by a few pixels, and two free ones.
    south, north = east_edge(before["bank-east"])
    seen.look(south)
    page.get_by_role("button", name="Draw", exact=True).click()
    seen.click(south, off=(5, -4))
    seen.click(shifted(south, 7, 0))
    seen.click(shifted(north, 7, 0))
    seen.click(north, off=(4, 5))
    seen.click(south, off=(3, 3))  # on the first corner again: closed
    (key,) = seen.chosen()
    seen.settle()
    drawn = seen.save()[key]
    assert drawn["properties"]["outline_source"] == "drawn"
    assert {south, north} <= set(corners(drawn))  # the very doubles
    assert "±" in page.locator("#measures").inner_text()

    # A corner that both have moves in both.
    seen.drag(north, shifted(north, 1.5, 0.5))
    now = seen.save()
    (moved,) = set(corners(now[key])) - set(corners(drawn))
    assert moved in corners(now["bank-east"])
    assert north not in corners(now["bank-east"])

    # A new corner in the middle of the line that both have comes into both.
    halfway = ((moved[0] + south[0]) / 2, (moved[1] + south[1]) / 2)
    seen.drag(halfway, shifted(halfway, -1.0, 0.0))
    was, now = now, seen.save()
    (added,) = set(corners(now[key])) - set(corners(was[key]))
    assert added in corners(now["bank-east"])

    # Cut from edge to edge, and put together again.
    page.get_by_role("button", name="Cut", exact=True).click()
    outline = shape(now[key]["geometry"])
    low, high = outline.bounds[1], outline.bounds[3]
    middle = outline.centroid.x
    seen.click((middle, low - 1e-5))
    seen.click((middle, high + 1e-5))
    page.get_by_role("button", name="Finish").click()
    page.wait_for_function("() => document.body.dataset.mode === 'choose'")
    parts = seen.chosen()
    assert len(parts) == 2
    now = seen.save()
    assert key not in now
    assert {now[part]["properties"]["came_from"] for part in parts} == {key}
    assert sum(area(now[part]) for part in parts) == pytest.approx(outline.area, rel=1e-6)
    page.get_by_role("button", name="Merge").click()
    page.wait_for_function("() => document.querySelector('#said').textContent.includes('Merged')")
    (whole,) = seen.chosen()
    now = seen.save()
    assert not set(parts) & set(now) - {whole}
    assert area(now[whole]) == pytest.approx(outline.area, rel=1e-6)

    # A hole, and a hole that becomes a bed.
    centre = shape(now[whole]["geometry"]).representative_point().coords[0]
    for name, east, size in (("Hole", -1.2, 0.8), ("Hole as bed", 1.2, 0.6)):
        seen.choose(whole)
        page.get_by_role("button", name=name, exact=True).click()
        for step in ((-size, -size), (size, -size), (size, size), (-size, size)):
            seen.click(shifted(centre, east + step[0], step[1]))
        page.get_by_role("button", name="Finish").click()
        page.wait_for_function("() => document.body.dataset.mode === 'choose'")
        was, now = now, seen.save()
        rings = [len(each[whole]["geometry"]["coordinates"]) for each in (was, now)]
        assert rings[1] == rings[0] + 1
    beds = [f for f in seen.document()["features"] if f["properties"]["feature"] == "bed"]
    assert len(beds) == 3
    assert seen.console == []


def test_an_edge_gets_the_corners_that_are_put_on_it(marking):
    seen = marking()
    bank = seen.feature("bank-east")
    outline = shape(bank["geometry"]).exterior
    top = max(
        zip(outline.coords[:-1], outline.coords[1:], strict=True),
        key=lambda edge: abs(edge[0][0] - edge[1][0]) if edge[0][1] > 53.4003 else 0,
    )
    near, far = (
        tuple(a + part * (b - a) for a, b in zip(*top, strict=True)) for part in (0.3, 0.7)
    )
    seen.look(near)
    seen.page.get_by_role("button", name="Draw", exact=True).click()
    seen.click(near, off=(0, 6))
    seen.click(far, off=(0, -6))
    seen.click(shifted(far, 0, 5))
    seen.page.get_by_role("button", name="Finish").click()
    (key,) = seen.chosen()
    seen.settle()
    now = seen.save()
    added = set(corners(now["bank-east"])) - set(corners(bank))
    assert len(added) == 2
    assert added < set(corners(now[key]))
    one, other = (shape(now[each]["geometry"]) for each in (key, "bank-east"))
    assert one.intersection(other).area == 0
    seen.focus_map()
    seen.key("Control+z")  # one stroke, and so one step, though both zones changed
    assert seen.feature("bank-east")["geometry"] == bank["geometry"]


def test_every_kind_and_a_rectangle_and_moving_the_whole(marking):
    seen = marking()
    page = seen.page
    count = len(seen.document()["features"])
    seen.look((1.9, 53.4006), 21)
    kind = page.get_by_label("Kind to draw")
    kind.select_option("tree")
    seen.click((1.89995, 53.40062))
    seen.click((1.90005, 53.40062))
    seen.key("Escape")
    kind.select_option("hedge")
    assert page.get_by_label("Drawn as").input_value() == "line"
    for step in (0, 8, 16):
        seen.click(shifted((1.8999, 53.40058), step, step / 8))
    page.get_by_role("button", name="Finish").click()
    kind.select_option("paving")
    page.get_by_role("button", name="Rectangle").click()
    seen.click((1.90008, 53.40056))
    for label, value in (("Length", "6"), ("Direction", "90"), ("Width, left", "2.5")):
        page.locator("#sketch").get_by_label(label).fill(value)
    page.get_by_role("button", name="Make rectangle").click()
    page.wait_for_function("() => document.body.dataset.mode === 'choose'")
    seen.settle()
    assert "15.0" in page.locator("#measures").inner_text()
    seen.save()
    made = seen.document()["features"][count:]
    assert [each["properties"]["feature"] for each in made] == ["tree", "tree", "hedge", "paving"]
    assert [each["geometry"]["type"] for each in made] == [
        "Point",
        "Point",
        "LineString",
        "Polygon",
    ]

    # A drag on the map alone moves nothing; with the tool it moves the whole.
    (key,) = seen.chosen()
    before = seen.feature(key)
    inside = seen_middle(before)
    seen.drag(inside, shifted(inside, 1, 1))
    assert seen.feature(key) == before
    page.get_by_role("button", name="Move whole").click()
    seen.drag(inside, shifted(inside, 1, 1))
    seen.focus_map()
    seen.key("Shift+ArrowUp")
    after = seen.feature(key)
    assert area(after) == pytest.approx(area(before), rel=1e-9)
    assert shape(after["geometry"]).centroid.y - shape(before["geometry"]).centroid.y == (
        pytest.approx(2 / 111_300, rel=0.1)
    )
    page.get_by_role("button", name="Delete").click()
    seen.key("Escape")
    assert seen.feature(key) is None
    seen.save()
    assert len(seen.document()["features"]) == count + 3
    assert seen.console == []


def test_all_of_it_by_keyboard(marking):
    seen = marking()
    page = seen.page
    before = seen.checked()
    seen.look((1.9, 53.4006), 21)  # free ground north of the ditch
    seen.focus_map()
    seen.key("d")
    seen.key("Enter")  # the first corner, where the cross is
    for length, bearing in (("8", "90"), ("5,5", "0"), ("8", "270")):
        seen.key("e")
        page.keyboard.type(length)
        page.keyboard.press("Tab")
        page.keyboard.type(bearing)
        page.keyboard.press("Enter")
        seen.settle()
        page.keyboard.press("Escape")
    seen.key("f")
    (key,) = seen.chosen()
    seen.settle()
    assert "44.0" in page.locator("#measures").inner_text()  # 8 m by 5.5 m
    drawn = seen.save()[key]
    assert len(corners(drawn)) == 4

    # The cross, moved by arrows: a cut through the middle, then both parts merged.
    seen.focus_map()
    seen.key("x")
    west, low, east, high = shape(drawn["geometry"]).bounds
    x, y = seen.pixel(((west + east) / 2, low))
    box = page.locator("#map").bounding_box()
    seen.key("ArrowRight")  # shows the cross
    at = page.locator(".cross").bounding_box()
    right, down = round((x - at["x"]) / 10), round((y + 12 - at["y"]) / 10)
    seen.key("ArrowRight" if right > 0 else "ArrowLeft", abs(right))
    seen.key("ArrowDown" if down > 0 else "ArrowUp", abs(down))
    seen.key("Alt+Enter")
    height = seen.pixel((east, low))[1] - seen.pixel((east, high))[1]
    seen.key("ArrowUp", round(height / 10) + 3)
    seen.key("Alt+Enter")
    seen.key("f")
    page.wait_for_function("() => document.body.dataset.mode === 'choose'")
    assert len(seen.chosen()) == 2
    seen.save()
    assert box is not None
    seen.focus_map()
    seen.key("m")
    page.wait_for_function("() => document.querySelector('#said').textContent.includes('Merged')")
    (whole,) = seen.chosen()
    now = seen.save()
    assert area(now[whole]) == pytest.approx(area(drawn), rel=1e-6)

    # Corners: reached by full stop and by Tab, moved by arrows, put in by I, taken away by Delete.
    seen.focus_map()
    seen.key(".")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')").startswith(
        "Corner 1 of"
    )
    count = len(corners(now[whole]))
    seen.key("i")
    seen.key("ArrowDown", 3)
    seen.settle()
    now = seen.save()
    assert len(corners(now[whole])) == count + 1
    seen.key("Delete")
    seen.settle()
    now = seen.save()
    assert len(corners(now[whole])) == count
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className").startswith("grip")

    # Undo twenty strokes, do them again, undo them, save, load again.
    saved = seen.feature(whole)
    for _ in range(10):
        seen.key(".")
        seen.key("Shift+ArrowUp")
        seen.key(".")
        seen.key("ArrowRight")
    seen.settle()
    assert seen.state("steps().count") >= 20
    changed = seen.feature(whole)
    assert changed != saved
    seen.key("Control+z", 20)
    assert seen.feature(whole) == saved
    seen.key("Control+y", 20)
    assert seen.feature(whole) == changed
    now = seen.save()
    assert now[whole] == changed
    page.reload()
    seen.ready()
    assert seen.feature(whole) == changed
    assert seen.state("changes()") == {}
    assert before.keys() <= now.keys()
    assert seen.console == []


def test_a_thumb_on_a_phone(marking):
    seen = marking(PHONE, has_touch=True, is_mobile=True)
    page = seen.page
    now = seen.checked()
    small = page.evaluate(
        """() => [...document.querySelectorAll('button, select, input, summary')]
          .filter((each) => each.offsetParent && !each.closest('#facts, #paint'))
          .filter((each) => !['checkbox', 'radio'].includes(each.type))
          .map((each) => [each.textContent, each.getBoundingClientRect()])
          .filter(([, box]) => box.width < 44 || box.height < 44)
          .map(([text]) => text)"""
    )
    assert small == []

    south, north = east_edge(now["bank-east"])
    seen.look(south, 20.5)
    page.get_by_role("button", name="Tool: Choose").tap()
    page.get_by_role("button", name="Draw", exact=True).tap()
    seen.tap(south, off=(14, -8))  # a thumb misses by more
    seen.tap(shifted(south, 5, 0))
    seen.tap(shifted(north, 5, 0))
    seen.tap(north, off=(12, 10))
    page.get_by_role("button", name="Finish").tap()
    (key,) = seen.chosen()
    seen.settle()
    drawn = seen.save()[key]
    assert {south, north} <= set(corners(drawn))

    # Drag a corner with the thumb, put one in, and take it away by a long press.
    thumb = Thumb(seen)
    free = next(at for at in corners(drawn) if at not in (south, north) and at[1] > south[1] + 1e-5)
    thumb.drag(free, shifted(free, 0.8, 0.8))
    moved = seen.save()[key]
    assert free not in corners(moved)
    bottom = sorted(corners(moved), key=lambda at: at[1])[:2]
    halfway = tuple(sum(each) / 2 for each in zip(*bottom, strict=True))
    thumb.drag(halfway, shifted(halfway, 0, -0.8))
    more = seen.save()[key]
    (added,) = set(corners(more)) - set(corners(moved))
    thumb.press(added)
    seen.settle()
    assert set(corners(seen.save()[key])) == set(corners(moved))

    # Rate by tapping.
    page.get_by_role("tab", name="Rate").tap()
    page.locator("#paint .scale .option:visible").nth(4).tap()
    page.get_by_role("button", name="Start painting").tap()
    seen.tap(seen_middle(moved))
    seen.settle()
    assert seen.save()[key]["properties"]["moss_rating"] == 4
    assert seen.console == []


def seen_middle(feature):
    return shape(feature["geometry"]).representative_point().coords[0]


class Thumb:
    """Touches that move, as the browser gets them from a screen."""

    def __init__(self, seen):
        self.seen = seen
        self.line = seen.page.context.new_cdp_session(seen.page)

    def send(self, kind, *points):
        self.line.send(
            "Input.dispatchTouchEvent",
            {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in points]},
        )

    def drag(self, start, end):
        (x, y), (to_x, to_y) = self.seen.pixel(start), self.seen.pixel(end)
        self.send("touchStart", (x + 9, y - 7))
        for part in range(1, 7):
            self.send("touchMove", (x + (to_x - x) * part / 6, y + (to_y - y) * part / 6))
        self.send("touchEnd")
        self.seen.settle()

    def press(self, at):
        self.send("touchStart", self.seen.pixel(at))
        self.seen.page.wait_for_timeout(800)
        self.send("touchEnd")


def test_what_was_not_saved_is_offered_again(marking):
    seen = marking()
    page = seen.page
    seen.choose("orchard")
    first = corners(seen.feature("orchard"))[0]
    seen.drag(first, shifted(first, -2, 1))
    changed = seen.feature("orchard")
    page.wait_for_function(
        "() => document.querySelector('#steps .main').textContent === 'Save (1)'"
    )
    page.reload()
    seen.ready()
    assert seen.feature("orchard") != changed
    page.get_by_role("button", name="Take up the draft").click()
    assert seen.feature("orchard") == changed
    assert seen.save()["orchard"]["geometry"] == changed["geometry"]
    page.reload()
    seen.ready()
    assert not page.locator("#offer").is_visible()


def test_a_save_leaves_an_offered_draft_that_nobody_has_decided_about(marking):
    seen = marking()
    seen.choose("orchard")
    first = corners(seen.feature("orchard"))[0]
    seen.drag(first, shifted(first, -2, 1))
    changed = seen.feature("orchard")
    seen.page.wait_for_function(
        "() => document.querySelector('#steps .main').textContent === 'Save (1)'"
    )
    seen.page.reload()
    seen.ready()
    seen.choose("east-walk")
    corner = corners(seen.feature("east-walk"))[0]
    seen.drag(corner, shifted(corner, 2, 1))
    assert seen.save()["orchard"]["geometry"] != changed["geometry"]
    seen.page.wait_for_timeout(500)
    seen.page.reload()
    seen.ready()
    seen.page.get_by_role("button", name="Take up the draft").click()
    assert seen.feature("orchard")["geometry"] == changed["geometry"]


def test_undo_reaches_behind_a_save_that_numbers_features_anew(marking):
    seen = marking()
    page = seen.page
    first, second = (f"f{n}" for n in (1, 2))  # the house and the garage
    house, garage = seen.feature(first), seen.feature(second)
    seen.choose(first)
    page.get_by_role("button", name="Delete").click()
    seen.save()
    assert seen.feature(first) == garage  # numbered anew
    seen.focus_map()
    seen.key("Control+z")
    seen.settle()
    names = [f["properties"].get("name") for f in seen.state("[...state.features.values()]")]
    assert names.count("House") == names.count("Garage") == 1
    seen.save()
    assert house in seen.document()["features"]


def rename_elsewhere(folder, zone_id, name):
    """Save another name the way another program of the house would."""
    from lawnmap.store import site as site_store
    from lawnmap.store.folder import Folder

    site = site_store.load(Folder(folder))
    features = [json.loads(json.dumps(each)) for each in site.document["features"]]
    for each in features:
        if each["properties"].get("zone_id") == zone_id:
            each["properties"]["name"] = name
    site_store.save(Folder(folder), site.with_features(features))


def test_what_two_people_changed_is_merged_and_only_the_rest_is_asked(marking):
    seen = marking()
    page = seen.page
    seen.choose("orchard")
    first = corners(seen.feature("orchard"))[0]
    seen.drag(first, shifted(first, -2, 1))
    rename_elsewhere(seen.folder, "orchard", "Apple trees")
    both = seen.save()["orchard"]  # one moved a corner, the other gave a name
    assert both["properties"]["name"] == "Apple trees"
    assert both["geometry"] == seen.feature("orchard")["geometry"]
    assert first not in corners(both)

    name = page.locator("#facts").get_by_label("Name", exact=True)
    name.fill("Old orchard")
    name.press("Tab")
    rename_elsewhere(seen.folder, "orchard", "New orchard")
    page.keyboard.press("Control+s")
    dialog = page.locator("#clash")
    dialog.wait_for()
    assert "Old orchard" in dialog.inner_text()
    assert "New orchard" in dialog.inner_text()
    dialog.get_by_role("button", name=re.compile("mine", re.IGNORECASE)).first.click()
    dialog.locator("button.main").click()
    page.wait_for_function("() => document.querySelector('#steps .main').textContent === 'Saved'")
    assert seen.checked()["orchard"]["properties"]["name"] == "Old orchard"


def test_strokes_stay_while_the_server_is_away(marking):
    seen = marking()
    page = seen.page
    seen.choose("orchard")
    first = corners(seen.feature("orchard"))[0]
    page.context.set_offline(True)
    page.route("**/api/**", lambda route: route.abort())
    seen.drag(first, shifted(first, -2, 1))
    page.wait_for_function(
        "() => document.querySelector('#said').textContent.includes('does not answer')"
    )
    changed = seen.feature("orchard")
    page.unroute("**/api/**")
    page.context.set_offline(False)
    page.wait_for_function(
        "() => document.querySelector('#said').textContent.includes('answers again')"
    )
    seen.settle()
    assert seen.save()["orchard"]["geometry"] == changed["geometry"]


def test_a_problem_is_listed_and_shown_where_it_is(marking):
    seen = marking()
    page = seen.page
    seen.choose("play-corner")
    outline = corners(seen.feature("play-corner"))
    seen.look(seen_middle(seen.feature("play-corner")))
    lowest = min(outline, key=lambda at: at[1])
    highest = max(outline, key=lambda at: at[1])
    seen.drag(lowest, shifted(highest, 0, 4))
    tab = page.get_by_role("tab", name=re.compile(r"Problems \(\d+\)"))
    tab.wait_for()
    tab.click()
    page.locator("#problems").get_by_role("button", name="Go there").first.click()
    sign = page.locator("button.problem").first
    box, ground = sign.bounding_box(), page.locator("#map").bounding_box()
    assert ground["x"] <= box["x"] <= ground["x"] + ground["width"]
    assert ground["y"] <= box["y"] <= ground["y"] + ground["height"]
    seen.focus_map()
    seen.key("Control+z")
    page.get_by_role("tab", name="Problems", exact=True).wait_for()


def test_two_hundred_steps_are_kept(marking):
    seen = marking()
    counts = seen.page.evaluate(
        """async () => {
          const { change, redo, state, steps, undo } = await import("/mark/state.js");
          const first = state.features.get("main");
          for (let step = 0; step < 205; step += 1) {
            const properties = { ...first.properties, bare_pct: step % 100 };
            change("Say how bare it is", { main: { ...first, properties } });
          }
          let back = 0, forth = 0;
          while (undo()) { back += 1; }
          const kept = state.features.get("main").properties.bare_pct;
          while (redo()) { forth += 1; }
          return [back, kept, forth, state.features.get("main").properties.bare_pct];
        }"""
    )
    assert counts == [200, 4, 200, 4]


def test_a_lawn_that_was_seen_whole_stays_so_while_it_is_cut(marking):
    seen = marking()
    page = seen.page
    seen.choose("under-oak")
    ring = seen.feature("under-oak")["geometry"]["coordinates"][0]
    page.get_by_role("button", name="Cut", exact=True).click()
    seen.settle()
    ground = page.locator("#map").bounding_box()
    low = max(seen.pixel(at)[1] for at in ring)
    assert low < ground["y"] + ground["height"]


def test_an_empty_site_says_how_to_begin(marking):
    seen = marking()
    assert "press Draw" not in seen.page.locator("#said").inner_text()
    document = seen.document()
    document["features"] = []
    (seen.folder / "site.geojson").write_text(json.dumps(document), encoding="utf-8")
    seen.page.reload()
    seen.ready()
    assert seen.page.locator("#said").inner_text() == "Nothing is drawn yet: press Draw."
    assert "tap each corner of a lawn" in seen.page.locator("#facts").inner_text()


def test_areas_in_feet_and_yards(marking):
    seen = marking()
    page = seen.page
    seen.choose("orchard")
    metric = re.search(r"([\d,.]+) ± [\d,.]+ m²", page.locator("#measures").inner_text())[1]
    page.get_by_role("tab", name="Layers").click()
    for unit, of_a_metre in (("ft²", 0.3048), ("yd²", 0.9144)):  # exact by definition
        page.get_by_label("Areas in").select_option(unit)
        text = page.evaluate("document.getElementById('measures').textContent")
        shown = re.search(rf"(?:Area|Lawn)([\d,.]+) ± [\d,.]+ {unit}", text)[1]
        expected = float(metric.replace(",", "")) / of_a_metre**2
        assert float(shown.replace(",", "")) == pytest.approx(expected, rel=2e-3)


def test_the_colours_are_told_and_follow_what_is_painted(marking):
    page = marking().page
    legend = page.locator("#legend")
    assert "Moss, measured or by eye" in legend.inner_text()
    assert "5 nearly all moss" in legend.inner_text()
    fills = (
        "() => [...document.querySelectorAll('#map path')].map((each) => each.getAttribute('fill'))"
    )
    shown = page.evaluate(fills)
    assert "#23502c" in shown  # under the oak: class 5
    # The main lawn was measured, 38 %, and the strip, 70 %: both are coloured, and not "not rated".
    assert "#ffffff" not in shown
    page.get_by_role("tab", name="Rate").click()
    page.locator("#paint").get_by_text("Thatch by eye").first.click()
    assert "Thatch, measured or by eye" in legend.inner_text()
    assert "#23502c" not in page.evaluate(fills)


def test_names_are_text_and_never_markup(marking):
    seen = marking()
    page = seen.page
    name = '<img src=x onerror="window.hit=1">'
    seen.choose("main")
    page.evaluate(
        """async (name) => {
          const { change, state } = await import("/mark/state.js");
          const main = state.features.get("main");
          change(name, { main: { ...main, properties: { ...main.properties, name } } });
        }""",
        name,
    )
    page.get_by_role("tab", name="List").click()
    page.get_by_label("Find by name or kind").fill("onerror")
    page.locator("#list .rows button").click()
    seen.settle()
    assert name in page.locator("#measures").inner_text()
    assert page.locator("#map .pill", has_text=name).count() == 1
    assert page.locator("img[src='x']").count() == 0
    assert page.evaluate("window.hit") is None
    assert seen.console == []


@pytest.mark.parametrize("view", [WIDE, PHONE])
def test_a_checker_finds_no_serious_problem_in_any_state(marking, view):
    seen = marking(view)
    page = seen.page
    assert problems(page) == []
    seen.choose("main")
    assert problems(page) == []
    for mode in ("draw", "rectangle", "cut", "paint", "choose"):
        page.evaluate("""async (mode) => (await import("/mark/state.js")).setMode(mode)""", mode)
        assert problems(page) == []
    for name in ("problems", "list", "layers", "paint", "chosen"):
        page.locator(f"#tab-{name}").click()
        assert problems(page) == []
    if view == PHONE:
        page.locator("#tools-open").click()
        assert problems(page) == []
    seen.focus_map()
    seen.key("?")
    assert page.locator("#help").is_visible()
    assert problems(page) == []
