"""Before and after: two surveys side by side, on the map, in the panel and as a table."""

import io

import pandas as pd
import pytest
from PIL import Image

from lawnmap.exports.map import before
from lawnmap.exports.map.page import render
from lawnmap.paper import Earlier, Photo
from tests.exports.map.test_page import block_of
from tests.exports.papers import grid, paper

browser = pytest.mark.browser
NAN = float("nan")
RATED = {
    "before_from": "rated by eye",
    "after_from": "rated by eye",
    "verdict": "not measured alike",
    "reason": "rated by eye both times",
}


def row(zone_id, measure, then, now, **changes):
    """Return a row of the comparison; ``then`` and ``now`` are a value with its interval."""
    unit = "%" if measure == "moss cover" else "mm"
    names = [f"{when}{end}" for when in ("before", "after") for end in ("", "_low", "_high")]
    return {
        "zone_id": zone_id, "measure": measure, "unit": unit,
        "before_from": "counted on points", "after_from": "counted on points",
        **dict(zip(names, (*then, *now), strict=True)),
        "change": now[0] - then[0], "verdict": "better", "reason": "", "recut": False, "kin": "",
        **changes,
    }  # fmt: skip


def surveyed(**more):
    """Return a paper of three zones, a fourth of then that was cut, and a photo of each side."""
    made = paper(["Front", "Back", "Bank"], shapes=grid(3), features=False)
    old = made.plan.zones[["name", "geometry"]].copy()
    gone = old.iloc[[2]].rename(index={"z2": "whole"}).assign(name="Whole bank")
    changes = [
        row("z0", "moss cover", (60, 50, 69), (30, 22, 39)),
        row("z0", "thatch", (20, 17, 23), (19, 16, 22), verdict="within the noise"),
        row("z1", "moss cover", (NAN, 25, 50), (NAN, 75, NAN), **RATED),
        row("z2", "moss cover", (NAN, NAN, NAN), (4, 2, 9), recut=True, kin="Whole bank",
            before_from="", verdict="not measured alike", reason="the zone is new"),
        row("whole", "moss cover", (40, 30, 50), (NAN, NAN, NAN), recut=True, kin="Bank",
            after_from="", verdict="not measured alike", reason="the zone is no longer there"),
    ]  # fmt: skip
    zones = pd.concat([old.iloc[:2], gone])
    told = pd.DataFrame(changes)
    earlier = Earlier("2027-03-02", zones, told, "2027-10-12", ("Unlike times.",))
    return made.of(earlier=earlier, **more)


def photo(colour, *, earlier):
    stream = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(stream, "WEBP")
    day = "2027-03-02" if earlier else "2027-10-12"
    return Photo("z0", day, stream.getvalue(), (40, 30), earlier=earlier)


@pytest.fixture(scope="module")
def page():
    shown = (photo("green", earlier=True), photo("brown", earlier=False))
    return render(surveyed(photos=shown))


def test_without_an_earlier_survey_there_is_nothing_of_it():
    data = render(paper(features=False))
    assert b'class="before"' not in data
    assert not {"before", "photos"} & set(block_of(data))


def test_each_side_has_its_classes_and_the_outlines_of_its_day(page):
    told = block_of(page)["before"]
    assert (told["then"], told["now"]) == ("Before: 2 March 2027", "After: 12 October 2027")
    moss, thatch = told["measures"]
    # Classes of the scale in columns.csv: 3 is 25 to 50 %, 4 is 50 to 75, 5 over 75, 1 under 5.
    assert (moss["then"], moss["now"]) == ([4, 3, 3], [3, 5, 1])
    assert (thatch["then"], thatch["now"]) == ([3, -1, -1], [3, -1, -1])
    assert len(told["outlines"]) == 3


def test_what_can_be_said_is_what_the_counts_bear(page):
    zones = block_of(page)["before"]["zones"]
    assert zones[0]["said"][0].endswith("of the ground less, outside the noise of both counts")
    assert zones[0]["said"][1].endswith("less, within the noise: cannot be told")
    assert zones[1]["said"] == ["Moss: cannot be judged: rated by eye both times"]
    assert zones[2]["said"] == ["Cut or merged since (Whole bank): nothing is compared."]


def test_the_table_stands_without_any_script(page):
    table = page.decode().split('<section class="before"')[1].split("</section>")[0]
    assert "Unlike times." in table
    assert table.count("<tr>") == 1 + 4  # the head, three zones, and the one that was cut
    assert "Whole bank" in table


def test_the_same_surveys_give_the_same_bytes():
    assert render(surveyed()) == render(surveyed())


@browser
@pytest.mark.parametrize("width", [1280, 390])
def test_the_view_shows_both_sides_by_mouse_and_keys(opened, page, width):
    shown = opened(page, width=width, height=844)
    one = shown.page
    assert one.locator("path.side").count() == 0
    one.get_by_role("radio", name="Before and after").check(force=True)
    assert one.locator("path.side").count() == 3
    first = one.locator("path.side").first
    assert first.get_attribute("fill") == "url(#moss-4)"
    depth = "each => +getComputedStyle(each.closest('.leaflet-pane')).zIndex"
    zone = one.locator("path.zone").first  # in the pane of the features, and seen through
    assert first.evaluate(depth) < zone.evaluate(depth)
    assert zone.evaluate("each => getComputedStyle(each).fillOpacity") == "0"
    one.get_by_role("radio", name="Before: 2 March 2027").focus()
    one.keyboard.press("ArrowRight")
    assert one.locator("path.side").first.get_attribute("fill") == "url(#moss-3)"
    one.get_by_role("radio", name="Thatch").last.check(force=True)
    assert one.locator("path.side").nth(1).get_attribute("fill") == "url(#thatch-none)"
    one.locator("table.zones .called button").first.click()
    images = one.locator(".panel .photos img")
    assert [each.get_attribute("alt") for each in images.all()] == [
        "Photo of Front, 2 March 2027",
        "Photo of Front, 12 October 2027",
    ]
    assert images.first.evaluate("each => each.complete && each.naturalWidth") == 40
    one.keyboard.press("Escape")
    one.get_by_role("radio", name="Condition").check(force=True)
    assert one.locator("path.side").count() == 0
    assert shown.console == []
    assert [each for each in shown.requests if not each.startswith(("file:", "data:"))] == []


def test_sentences_are_in_the_units_of_the_reader():
    assert "1.18 in" in before.sentence(
        row("a", "thatch", (40, 38, 42), (10, 8, 12)), "imperial"
    ).replace("\u00a0", " ")
