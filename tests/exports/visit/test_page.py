"""The visit page as a file: what is in it, what is not, and that it is the same each time."""

import json
import re
from pathlib import Path

import pytest
import shapely

from lawnmap import plugins, schema
from lawnmap.exports.visit import block as visit_block
from lawnmap.exports.visit import page as visit
from lawnmap.exports.visit.page import render
from lawnmap.model import Plan, Site
from lawnmap.pages import leaflet, words
from lawnmap.processing.disclose import disclose
from lawnmap.reference.tables import scales
from tests.exports.names import HOSTILE
from tests.exports.papers import paper

PAGES = Path(words.__file__).parent
SCRIPTS = "\n".join(path.read_text("utf-8") for path in sorted((PAGES / "visit").glob("*.js")))


def block_of(data: bytes):
    text = re.search(rb'<script type="application/json" id="lawnmap-data">(.*?)</script>', data)
    return json.loads(text[1])


def empty_paper():
    given = paper()
    site = Site(
        {"type": "FeatureCollection", "lawnmap": dict(given.plan.site.header), "features": []}
    )
    tables = {name: getattr(given.plan, name).iloc[:0] for name in ("steps", "totals", "loads")}
    zones = given.plan.zones.iloc[:0]
    plan = {**vars(given.plan), **tables, "site": site, "zones": zones, "cautions": ()}
    return given.of(plan=Plan(**plan))


def test_the_shape_of_an_export():
    assert plugins.load("exports", "visit") is visit
    assert (visit.SUFFIX, visit.AUDIENCE) == (".html", "crew")


def test_two_renders_are_equal_byte_for_byte():
    assert render(paper()) == render(paper())


def test_every_wording_is_used_and_none_is_missing():
    have = set(words.starting("visit"))
    used = set(re.findall(r"\bsay\.([a-z_]+)", SCRIPTS))
    assert used <= have
    by_name = ("ask_", "col_", "hint_", "how_", "part_", "shape_", "tab_")
    assert {key for key in have - used if not key.startswith(by_name)} == {"no_script", "no_zones"}
    columns = {key.removeprefix("col_") for key in have if key.startswith("col_")}
    assert columns <= {*visit_block.FIRST, *visit_block.MORE}


def test_what_is_asked_stands_in_the_schema():
    found = {each["name"]: each for each in block_of(render(paper()))["visit"]["columns"]}
    facts = {each.name: each for each in schema.facts("zones")}
    assert set(found) <= set(facts)
    for name, asked in found.items():
        assert (asked["low"], asked["high"]) == (facts[name].low, facts[name].high)
        assert not facts[name].words or [c[0] for c in asked["choices"]] == list(facts[name].words)
    for name, scale in (("moss_rating", "moss"), ("thatch_rating", "thatch")):
        told = [[code, said.replace("\xa0", " ")] for code, said in found[name]["choices"]]
        assert told == [[each.rating, each.word] for each in scales()[scale]]
        # No unit is parted from its figure at the end of a line.
        assert not [said for _, said in found[name]["choices"] if re.search(r"\d (?:%|mm)", said)]
    kinds = {each["kind"] for each in block_of(render(paper()))["visit"]["places"]}
    assert all("Point" in schema.FEATURES[kind] for kind in kinds)


def test_facts_for_editing_are_in_it_and_private_notes_are_not():
    given = paper(audience="owner")
    features = [
        {**each, "properties": {**each["properties"], "private_note": "PRIV-1"}}
        for each in given.plan.site.document["features"]
    ]
    site = given.plan.site.with_features(features)
    plan = Plan(**{**vars(given.plan), "site": site, "zones": given.plan.zones.assign(
        private_note="PRIV-2", gate_code="PRIV-3")})  # fmt: skip
    data = render(disclose(plan, visit.AUDIENCE))
    assert b"PRIV-" not in data
    great = next(each for each in block_of(data)["zones"] if each["name"] == "Great lawn")
    assert great["facts"]["moss_cover_pct"] == 62.0
    assert great["facts"]["public_note"] == "Cores of 3 November lie in the shed."
    assert "moss_rating" in great["facts"]


def test_steps_carry_what_a_record_needs():
    zones = block_of(render(paper()))["zones"]
    work = {each["operation"]: each for each in zones[0]["work"]}
    assert work["overseeding"]["application"] == "5"
    assert work["overseeding"]["unit"] == "g"
    assert work["overseeding"]["may"]
    assert work["feeding"]["status"] == "for pricing only"
    assert not work["feeding"]["may"]
    assert "top_dressing" not in work


def dated_paper():
    """Return the paper of a plan with days, its mowing on the first zone on record."""
    given = paper()
    steps = given.plan.steps.copy()
    first = steps["zone_id"] == "z0"
    steps["day"], steps["day_last"], steps["days"] = "", "", float("nan")
    steps.loc[first, "day"] = "2026-09-21"
    steps.loc[first & (steps["operation"] == "mowing"), ["day", "status"]] = ["2026-09-14", "done"]
    return given.of(plan=Plan(**{**vars(given.plan), "steps": steps}))


def test_a_step_says_its_day_its_ground_and_whether_it_is_on_record():
    given = dated_paper()
    work = {each["operation"]: each for each in block_of(render(given))["zones"][0]["work"]}
    mown, sown = work["mowing"], work["overseeding"]
    assert (mown["done"], mown["may"], mown["day"]) == (
        True, True, "done on Monday 14 September 2026",
    )  # fmt: skip
    assert (sown["done"], sown["day"]) == (False, "Monday 21 September 2026")
    rows = given.plan.steps.set_index(["zone_id", "operation"])
    assert sown["area_m2"] == round(rows.loc[("z0", "overseeding"), "area_m2"], 1)
    assert sown["product"] == "Hard-wearing mixture (invented)"
    assert [name for name, each in work.items() if each["puts_on"]] == [
        "iron_soluble", "overseeding", "feeding",
    ]  # fmt: skip
    assert "Monday 21 September 2026" in render(given).decode()


def test_the_site_is_named_as_a_reply_names_it():
    header = {"site_id": "0123456789abcdef", "revision": 7, "title": "Hollin Court"}
    given = paper()
    site = given.plan.site.with_header(**header)
    plan = Plan(**{**vars(given.plan), "site": site})
    stamped = given.of(plan=plan, issued="ab12cd34ef56 of 1 March 2027")
    found = block_of(render(stamped))["visit"]
    assert found["site"] == {"id": "0123456789abcdef", "title": "Hollin Court", "revision": 7}
    assert found["issued"] == "ab12cd34ef56"
    assert block_of(render(given.of(issued="")))["visit"]["issued"] == ""


def test_a_schematic_page_tells_nobody_where_it_is():
    data = render(paper(schematic=True))
    assert b"55.00" not in data
    assert not block_of(data)["visit"]["placed"]


def test_a_site_with_nothing_on_it_is_a_page_to_start_one_with():
    data = render(empty_paper())
    block = block_of(data)
    assert block["zones"] == []
    assert block["visit"]["placed"]
    assert "There are no zones yet." in data.decode()


def test_without_scripts_zones_and_steps_are_there_to_read():
    still = render(paper()).decode().split('<section class="still">')[1].split("</section>")[0]
    assert still.count("<article>") == 12
    assert "<strong><bdi>Overseeding</bdi></strong>" in still
    assert "not set: do not apply" in still


def test_it_names_no_address():
    text = render(paper()).decode().replace(leaflet.script(), "")
    assert set(re.findall(r"https?://[^\s\"'<)]+", text)) <= {"http://www.w3.org/2000/svg"}
    assert "default-src 'none'" in text


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_text_and_ends_nothing(name):
    shapes = [shapely.box(0, 0, 5, 5)]
    plain = render(paper(["Lawn"], shapes=shapes, title="Court", said="note"))
    data = render(paper([name], shapes=shapes, title=name, said=name))
    assert block_of(data)["zones"][0]["name"] == name
    for mark in (b"<script", b"</script", b"<img", b"<svg", b"<style"):
        assert data.count(mark) == plain.count(mark), mark
