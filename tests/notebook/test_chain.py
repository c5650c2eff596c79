"""Steps chained with pipe give the plan of the command line, to the last digit."""

import dataclasses
from pathlib import Path

import pandas as pd
import pytest
from geopandas.testing import assert_geodataframe_equal

import lawnmap
from lawnmap import schema
from lawnmap.days import Calendar
from lawnmap.files import json_text
from tests.cli.runner import here

SCENARIOS = Path(__file__).parents[2] / "docs" / "scenarios"
DAY = "2026-09-07"
CARD = """
[[product]]
name = "%s (invented)"
form = "lawn sand"
authorised_for_moss = true
authorisation_no = "INVENTED 0009"
country = "GB"
use_by = 2028-12-31
analysis_pct = 2.0
analysis_as = "Fe"
analysis_basis = "w/w"
nitrogen_pct = 0.0
rate_printed = "35 g/m²"
untreated_strip_m = 5.0
packs = [{ size = 20, unit = "kg", price = %d }]
"""
CARDS = CARD % ("Dear iron", 40) + CARD % ("Lesser iron", 20)

pytestmark = pytest.mark.filterwarnings("ignore::lawnmap.Note")


FEW = ["main", "front-west"]


def few(today=DAY):
    """Return the sample with two of its zones, which take a fifth of the time."""
    site = lawnmap.sample(today=today)
    return site.with_zones(site.zones.loc[FEW])


def judged(site):
    zones = site.zones.pipe(lawnmap.measure, site).pipe(lawnmap.sun, site)
    return zones.pipe(lawnmap.strips, site).pipe(lawnmap.choose, site)


def same(site):
    """Return the plan, having compared every table of the chain with it."""
    plan = lawnmap.plan(site, setting_out=False)
    zones = judged(site)
    steps = zones.pipe(lawnmap.steps, site).pipe(lawnmap.dates, site, zones)
    assert_geodataframe_equal(zones, plan.zones)
    for made, planned in (
        (steps, plan.steps),
        (steps.pipe(lawnmap.totals, site), plan.totals),
        (steps.pipe(lawnmap.loads, site), plan.loads),
    ):
        pd.testing.assert_frame_equal(made, planned, check_exact=True)
    return plan


def test_the_chain_prints_what_the_command_prints():
    folder = SCENARIOS / "school"
    site = lawnmap.open_site(folder, today=DAY)
    told = here("plan", folder, "--today", DAY, "--json").json["result"]
    zones = judged(site)
    steps = zones.pipe(lawnmap.steps, site).pipe(lawnmap.dates, site, zones)
    figures = [each.name for each in schema.columns("steps") if each.unit]
    for column in figures:
        shown = [row[column] for row in told["steps"]]
        made = json_text.loads(
            json_text.dumps([None if pd.isna(each) else each for each in steps[column]]).encode(),
            name="steps",
        )
        assert shown == made, column
    areas = [row["ground_area_m2"] for row in told["zones"]]
    assert areas == zones["ground_area_m2"].to_list()
    assert len(steps) > len(zones) > 0


def test_with_a_programme_that_leaves_something_for_later():
    plan = same(lawnmap.open_site(SCENARIOS / "steep_bank", today=DAY))
    assert plan.specification.choice("postponed")


def test_with_work_on_record_and_several_cards_of_iron_to_choose_from():
    site = lawnmap.open_site(SCENARIOS / "town_garden", today="2026-09-21")
    site = site.with_products(CARDS).with_choices(products={"iron": None})
    (zone_id,) = site.zones.index
    mown = {"record_id": "1", "zone_id": zone_id, "operation": "mowing", "date": "2026-09-16"}
    fed = {"record_id": "2", "zone_id": zone_id, "operation": "feeding", "date": "2026-09-17"}
    plan = same(dataclasses.replace(site, calendar=Calendar(record=(mown, fed))))
    assert len(plan.tables["iron_forms"]) > 1
    assert "done" in set(plan.steps["status"])
    assert plan.zones.loc[zone_id, "fed_last"] == "2026-09-17"


def test_what_is_changed_between_two_steps_holds():
    site = few()
    zones = judged(site)
    hours = [
        each.pipe(lawnmap.steps, site).query("operation == 'scarifying'")["hours"].sum()
        for each in (zones, zones.assign(passes=zones["passes"] * 2))
    ]
    assert hours[1] > hours[0] > 0


def test_some_of_the_zones_are_worked_as_all_of_them_are():
    site = few()
    zones = judged(site)
    some = FEW[:1]
    alone = zones.loc[some].pipe(lawnmap.steps, site)
    among = zones.pipe(lawnmap.steps, site)
    among = among[among["zone_id"].isin(some)]
    assert sorted(alone["amount"].dropna()) == sorted(among["amount"].dropna())
    assert len(alone) == len(among)


@pytest.mark.parametrize(
    ("change", "step", "said"),
    [
        (lambda zones: zones.drop(columns="bare_pct"), "measure", "lack the column 'bare_pct'"),
        (lambda zones: zones.drop(columns="geometry"), "measure", "are a DataFrame"),
        (lambda zones: zones.to_crs("EPSG:32630"), "measure", "are in WGS 84 / UTM zone 30N"),
        (lambda zones: zones.set_crs(None, allow_override=True), "measure", "are in no CRS"),
        (lambda zones: zones, "sun", "Pipe them through lawnmap.measure first"),
        (lambda zones: zones, "choose", "Pipe them through lawnmap.measure first"),
        (lambda zones: zones, "steps", "Pipe them through lawnmap.measure first"),
        (lambda zones: zones, "totals", "Take them from lawnmap.steps"),
        (lambda zones: None, "loads", "lack all columns"),
    ],
)  # fmt: skip
def test_a_table_that_lacks_something_is_told_what(change, step, said):
    site = lawnmap.sample(today=DAY)
    with pytest.raises(lawnmap.InputRefused) as refused:
        getattr(lawnmap, step)(change(site.zones), site)
    assert said in str(refused.value)
    assert str(refused.value).count("\n") == 0


def test_the_step_that_is_missing_is_the_one_that_is_named():
    site = lawnmap.sample(today=DAY)
    zones = site.zones.pipe(lawnmap.measure, site)
    with pytest.raises(lawnmap.InputRefused, match=r"lawnmap\.sun first"):
        zones.pipe(lawnmap.strips, site)
    with pytest.raises(lawnmap.InputRefused, match=r"lawnmap\.strips first"):
        zones.pipe(lawnmap.sun, site).pipe(lawnmap.choose, site)


def test_a_step_leaves_its_table_alone():
    site = lawnmap.sample(today=DAY)
    zones = site.zones
    before = zones.copy()
    made = zones.pipe(lawnmap.measure, site)
    assert_geodataframe_equal(zones, before)
    assert list(made.columns[: len(zones.columns)]) == list(zones.columns)


def test_a_table_of_a_site_is_a_copy():
    site = lawnmap.sample(today=DAY)
    zones, features = site.zones, site.features
    zones.loc["main", "moss_cover_pct"] = 99.0
    features["feature"] = "tree"
    assert site.zones.loc["main", "moss_cover_pct"] == 38.0
    assert set(site.features["feature"]) > {"tree"}


@pytest.mark.parametrize("step", ["measure", "choose", "steps", "totals"])
def test_a_step_without_its_site_is_told(step):
    site = lawnmap.sample(today=DAY)
    with pytest.raises(lawnmap.LawnmapError, match="takes a site after its table, not a str"):
        getattr(lawnmap, step)(site.zones, "garden")


def test_cards_are_text():
    with pytest.raises(lawnmap.LawnmapError, match="not a dict"):
        lawnmap.sample().with_products({"name": "Iron"})
