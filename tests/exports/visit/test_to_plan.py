"""From the phone to the plan: a visit page is filled in by touch, and its reply is read back."""

import csv
import datetime as dt
import json
import shutil
from pathlib import Path

import pytest

from tests.cli.runner import run
from tests.exports.visit.test_phone import PHONE, lawn, part, rate, saved

pytestmark = pytest.mark.browser

SAMPLE = Path(__file__).parents[3] / "sample_geo" / "site"
TODAY = ("--today", "2027-03-01")
ON = ("--today", "2027-03-02")
CONFLICT = 6


def lawnmap(*words, code=0):
    outcome = run(*words)
    assert outcome.code == code, outcome.err
    return outcome


@pytest.fixture
def garden(tmp_path):
    return Path(shutil.copytree(SAMPLE, tmp_path / "garden"))


@pytest.fixture(scope="module")
def visit_page(tmp_path_factory):
    """Return the page of the site as it comes: every garden here begins as that."""
    garden = Path(shutil.copytree(SAMPLE, tmp_path_factory.mktemp("visit") / "garden"))
    lawnmap("export", garden, "--to", "visit", *TODAY)
    return (garden / "exports" / "visit.html").read_bytes()


@pytest.fixture
def visited(opened, visit_page, tmp_path):
    """Rate the first lawn anew on the page of this site, and return its reply as a file."""
    seen = opened(visit_page, **PHONE)
    lawn(seen.page, 1)
    rate(seen.page, "Moss cover, by eye", 5)
    part(seen.page, "cores")
    seen.page.get_by_label("Brown layer, not squashed").fill("31")
    seen.page.get_by_label("Points with moss").fill("17")
    seen.page.get_by_label("Points in all").fill("20")
    seen.page.get_by_role("button", name="Add this core").tap()
    name, data = saved(seen.page)
    reply = tmp_path / name
    reply.write_bytes(data)
    assert seen.requests[1:] == []
    return reply


def zone(garden, zone_id="front-west"):
    document = json.loads((garden / "site.geojson").read_text(encoding="utf-8"))
    (found,) = (
        each["properties"]
        for each in document["features"]
        if each["properties"].get("zone_id") == zone_id and each["properties"]["feature"] == "zone"
    )
    return found


def verdict(garden, zone_id="front-west"):
    zones = lawnmap("plan", garden, "--json", *TODAY).json["result"]["zones"]
    (found,) = (each for each in zones if each["zone_id"] == zone_id)
    return found["moss_class"], found["verdict"]


def test_the_plan_follows_what_was_seen(garden, visited):
    before = verdict(garden)
    assert "Ada Field" in lawnmap("read", visited, "--into", garden).out
    assert zone(garden)["moss_rating"] == 5
    moss, todo = verdict(garden)
    assert "75 % or more" in moss
    assert (moss, todo) != before
    assert todo != before[1]


def test_the_same_reply_again_changes_nothing(garden, visited):
    lawnmap("read", visited, "--into", garden)
    once = {path: path.read_bytes() for path in garden.rglob("*.geojson")}
    assert "read before" in lawnmap("read", visited, "--into", garden).out
    assert {path: path.read_bytes() for path in garden.rglob("*.geojson")} == once


def test_what_both_changed_is_asked(garden, visited):
    lawnmap("assess", garden, "--zone", "front-west", "--set", "moss_rating=0")
    told = lawnmap("read", visited, "--into", garden, code=CONFLICT)
    assert "moss_rating" in told.out
    assert zone(garden)["moss_rating"] == 0
    lawnmap("read", visited, "--into", garden, "--take", "theirs")
    assert zone(garden)["moss_rating"] == 5


def test_work_ticked_is_recorded_with_product_and_ground_and_then_shown_as_done(
    opened, garden, tmp_path
):
    lawnmap("export", garden, "--to", "visit", *TODAY)
    page = opened((garden / "exports" / "visit.html").read_bytes(), **PHONE).page
    page.clock.set_fixed_time(dt.datetime(2027, 3, 2, 12, tzinfo=dt.UTC))
    lawn(page, 1)
    part(page, "work")
    page.get_by_role("button", name="Feeding: Tick when done").tap()
    page.get_by_label("Amount used").fill("20000")
    page.get_by_label("Ground treated").fill("300")
    name, data = saved(page)
    (tmp_path / name).write_bytes(data)
    lawnmap("read", tmp_path / name, "--into", garden, *ON)
    with (garden / "record.csv").open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    assert (row["operation"], row["amount"], row["unit"]) == ("feeding", "20000", "g")
    assert row["date"] == ON[1]
    assert (row["product"], row["area_m2"]) == ("Marram Autumn Feed (invented)", "300")
    lawnmap("export", garden, "--to", "visit", *ON, "--force")
    page = opened((garden / "exports" / "visit.html").read_bytes(), **PHONE).page
    lawn(page, 1)
    part(page, "work")
    fed = page.locator("#pane-zone .card").filter(has_text="Feeding")
    assert "✓ done on Tuesday 2 March 2027" in fed.text_content()
    assert fed.get_by_role("button").count() == 0


def test_a_tampered_reply_is_refused(garden, visited):
    before = (garden / "site.geojson").read_bytes()
    visited.write_bytes(visited.read_bytes().replace(b"Ada Field", b"Eve Field"))
    assert "changed after it was made" in lawnmap("read", visited, "--into", garden, code=3).err
    assert (garden / "site.geojson").read_bytes() == before
