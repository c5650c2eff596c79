"""The loading list: what the work of a day asks for goes on the van, and nothing else."""

import re
from dataclasses import replace

import pandas as pd
import pytest

from lawnmap.exports import loading as loading_export
from lawnmap.exports.crew.job import Job
from lawnmap.exports.crew.van import lines
from lawnmap.exports.crew.visits import visits
from lawnmap.exports.loading import render
from lawnmap.pages.escape import clean
from lawnmap.plugins import TREATMENT_KINDS, available
from lawnmap.reference import tables
from tests.exports.crew_papers import VISITS, dated, sections
from tests.exports.names import HOSTILE
from tests.exports.papers import IRON, SEED, grid

MACHINES = {each.kind for each in tables.machines().values()}


@pytest.fixture(scope="module")
def page():
    return sections(render(dated()))


def of_day(given, day):
    (visit,) = [each for each in visits(given.plan, given.units) if each.day == day]
    return lines(Job(given), visit)


def test_the_shape_of_an_export():
    assert loading_export.SUFFIX == ".html"
    assert loading_export.AUDIENCE == "crew"
    shown = render(dated()).decode()
    assert shown == render(dated()).decode()
    assert "<script" not in shown
    assert re.findall("https?:", shown) == []


def test_each_visit_has_one_page(page):
    assert page.found == list(VISITS)


def test_products_are_weighed_out_by_the_load(page):
    text = page.text("2027-08-24")
    assert IRON in text
    assert "23 × 50 g, 25 g" in text
    assert SEED in page.text("2027-10-05")
    assert not any(IRON in page.text(day) for day in VISITS if day != "2027-08-24")


def test_what_may_not_be_applied_is_not_loaded(page):
    assert "Autumn feed" not in "".join(page.text(day) for day in VISITS)
    zones = {each.zone_id for each in of_day(dated(), "2027-08-24") if each.part == "product"}
    assert not zones & {"z6", "z7"}  # by the pond, where nobody has set the strip


def test_a_spreader_takes_its_loads_once_a_run():
    given = dated()
    loads = given.plan.loads.assign(runs=2.0, full_loads=1.0, last_product=20.0)
    found = of_day(given.of(plan=replace(given.plan, loads=loads)), "2027-08-24")
    assert "2 × 50\u00a0g, 2 × 20\u00a0g" in {each.much for each in found}


def test_kit_is_that_of_the_days_work(page):
    fuel, coverall, belt = "tray to refuel on", "coverall, gloves", "spare belt"
    where = {
        each: [day for day in VISITS if each in page.text(day)] for each in (fuel, coverall, belt)
    }
    blades = ["2027-09-07", "2027-09-08"]  # the second day goes on with it
    assert where == {fuel: blades, coverall: ["2027-08-24"], belt: blades}


def test_a_mains_machine_takes_cable_and_rcd():
    given = dated()
    steps = given.plan.steps.replace({"machine_kind": {"petrol": "electric"}})
    zones = steps.loc[steps["operation"] == "scarifying", "zone_id"]
    passes = pd.DataFrame({"zone_id": zones, "operation": "scarifying", "cable_m": 31.2})
    plan = replace(given.plan, steps=steps, tables={"passes": passes})
    found = {each.what: each for each in of_day(given.of(plan=plan), "2027-09-07")}
    (cable,) = [each for what, each in found.items() if what.startswith("cable")]
    assert cable.much == "to reach 32\u00a0m at least"
    assert any("residual-current" in what for what in found)
    assert not any("refuel" in what for what in found)


def test_bags_are_enough_for_all_that_comes_off():
    given = dated()
    cleared = given.plan.steps
    cleared = cleared[(cleared["operation"] == "clearing") & (cleared["day"] != "")]
    steps = given.plan.steps.copy()
    steps.loc[cleared.index, ["amount", "unit"]] = [100.0, "l"]
    found = of_day(given.of(plan=replace(given.plan, steps=steps)), "2027-09-07")
    (bags,) = [each for each in found if each.what.startswith("bags")]
    assert int(bags.much) == -(-100 * len(cleared) // 60)


def test_the_reference_speaks_of_work_and_machines_that_there_are():
    operations = set(available("treatments"))
    for each in tables.kit():
        assert set(each.applies_to) <= {"any", "iron", *TREATMENT_KINDS, *operations, *MACHINES}
        assert each.part in loading_export.PARTS
        assert (each.standing == "common practice, no source") == (not each.source)
        assert not each.source or tables.source(each.source)
    assert len({each.id for each in tables.kit()}) == len(tables.kit())


@pytest.mark.browser
def test_what_a_person_typed_is_shown_as_typed_on_a_phone(opened):
    said, names = "\n".join(HOSTILE), list(HOSTILE)
    given = dated(names, shapes=grid(len(names)), title=said, said=said, features=False)
    seen = opened(render(given), width=390)
    page, typed = seen.page, clean(said)
    assert page.locator("h1 bdi").text_content() == typed
    unrated = {names[8], names[9], names[20]}  # nothing is done there, or on no day
    shown = set(page.locator(".where .zone bdi").all_text_contents())
    assert shown == {clean(each) for each in names if each not in unrated}
    assert typed in page.locator("tr.of bdi").all_text_contents()
    assert page.locator("b, img, script").count() == 0
    assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], [])
    assert page.evaluate("document.documentElement.scrollWidth") == 390
