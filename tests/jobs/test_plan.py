"""The whole line on the sample site: facts and choices in, a plan out."""

import datetime as dt
import json
from pathlib import Path

import pandas as pd
import pytest
import shapely
from shapely.geometry import mapping

from lawnmap import schema
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.plan import planned as with_its_work
from lawnmap.jobs.read import read
from lawnmap.jobs.start import start
from lawnmap.processing.days.across import across, placed
from lawnmap.reference import tables

TODAY = dt.date(2026, 9, 7)


def planned(folder, today=TODAY, depot=None):
    opened = open_site(folder)
    specification = choices(opened, depot=depot, personal=Path(folder) / "nobody", today=today)
    return plan(opened.site, specification, today=today)


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    folder = tmp_path_factory.mktemp("site") / "garden"
    start(folder, sample=True)
    return folder


@pytest.fixture(scope="module")
def made(sample):
    return planned(sample)


def steps_of(made, zone_id):
    return made.steps[made.steps["zone_id"] == zone_id].set_index("operation")


def test_every_table_holds_columns_of_the_schema_and_no_other(made):
    for name in ("steps", "totals", "loads"):
        assert set(getattr(made, name).columns) == set(schema.names(name)), name
    many = {each.name for each in schema.columns("zones") if each.step == "many_passes"}
    worked = set(schema.names("zones")) - {"zone_id"} - many  # those are for very many zones
    assert worked <= set(made.zones.columns)
    assert set(made.zones.columns) - worked == {"geometry"}


def test_every_rule_and_source_of_a_step_exists(made):
    for rule in made.steps["rule"]:
        assert tables.rule(rule)
    ids = {*tables.values(), *tables.sources()}
    for sources in made.steps["sources"]:
        assert set(sources.split()) <= ids
    assert set(made.steps["standing"]) <= set(tables.STANDINGS)


def test_iron_is_the_labels_dose_on_the_ground_that_may_take_it(made):
    # 50 g in 10 l over 16 m² (Cornwall Cricket Groundsmen, 2019) is 3.125 g/m² and 0.625 l/m².
    terrace = steps_of(made, "terrace").loc["iron_soluble"]
    area = made.zones.loc["terrace", "iron_area_m2"]
    assert area < made.zones.loc["terrace", "ground_area_m2"]
    assert terrace["dose"] == pytest.approx(3.125)
    assert terrace["amount"] == pytest.approx(3.125 * area)
    assert terrace["iron_g_m2"] == pytest.approx(3.125 * 0.20)
    # The orchard's hens: no iron there, by the zone's own fact.
    assert not set(steps_of(made, "orchard").index) & {"iron_soluble", "iron_liquid", "lawn_sand"}


def test_zones_that_need_nothing_are_left_alone(made):
    for zone_id in ("bank-east", "under-oak"):
        assert list(steps_of(made, zone_id).index) == ["leave it alone"]


def test_new_turf_gets_no_iron(made):
    row = steps_of(made, "play-corner").loc["iron_soluble"]
    assert row["status"] == "not set: do not apply"
    assert pd.isna(row["amount"]) or row["amount"] == 0


def test_loads_add_up_to_the_steps(made):
    loads = made.loads
    assert {"iron_soluble", "feeding"} <= set(loads["operation"])
    todo = made.steps[
        (made.steps["status"] == "do") & made.steps["operation"].isin(loads["operation"])
    ]
    product = loads["full_loads"] * loads["full_product"] + loads["last_product"]
    product *= loads["runs"]
    assert product.sum() == pytest.approx(todo["amount"].sum(), rel=1e-9)
    water = loads["full_loads"] * loads["full_water_l"] + loads["last_water_l"]
    assert water.sum() == pytest.approx(todo["water_l"].sum(), rel=1e-9)


def test_totals_cover_the_steps_in_whole_packs(made):
    iron = made.totals.set_index("operation").loc["iron_soluble"]
    todo = made.steps[made.steps["operation"].eq("iron_soluble") & made.steps["status"].eq("do")]
    assert iron["amount"] == pytest.approx(todo["amount"].sum())
    assert iron["to_buy"] == pytest.approx(iron["amount"] - 600)  # 600 g in the shed
    assert iron["left_over"] >= 0


def test_a_site_without_iron_gets_a_whole_plan(sample, tmp_path):
    text = (sample / "specification.toml").read_text(encoding="utf-8")
    folder = tmp_path / "dry"
    start(folder, sample=True)
    (folder / "specification.toml").write_text(
        text.replace('iron = "allowed"', 'iron = "not on this site"'), encoding="utf-8"
    )
    dry = planned(folder)
    assert not dry.steps["operation"].isin(["iron_soluble", "iron_liquid", "lawn_sand"]).any()
    assert {"scarifying", "clearing", "overseeding"} <= set(steps_of(dry, "main").index)
    assert set(dry.loads["operation"]) == {"feeding"}


def test_new_grass_is_not_kept_waiting_for_a_visit_to_another_lawn(tmp_path):
    """A lawn sown in April was cut in August, when somebody came to the other one anyway."""
    folder, drawn = tmp_path / "garden", tmp_path / "lawns.geojson"
    start(folder, title="Two lawns")
    # Rating of moss, south edge and height in degrees.
    lawns = {"front": (2, 53.4, 0.00009), "back": (3, 53.40012, 0.00016)}
    features = [
        {
            "type": "Feature",
            "properties": {"feature": "zone", "zone_id": name, "moss_rating": moss,
                           "thatch_rating": 1},
            "geometry": mapping(shapely.box(1.9, south, 1.9003, south + high)),
        }
        for name, (moss, south, high) in lawns.items()
    ]  # fmt: skip
    drawn.write_text(json.dumps({"type": "FeatureCollection", "features": features}), "utf-8")
    read(drawn, into=folder)
    made = planned(folder, dt.date(2026, 10, 12))
    day = steps_of(made, "front")["day"]
    sown, cut = (dt.date.fromisoformat(day[each]) for each in ("overseeding", "first_cut"))
    assert (cut - sown).days <= 56
    assert made.dates.visits[-1] > cut + dt.timedelta(days=56)  # somebody comes again much later


def test_without_label_cards_amounts_are_for_pricing_only(tmp_path):
    folder = tmp_path / "cards"
    start(folder, sample=True)
    (folder / "products.toml").unlink()
    text = (folder / "specification.toml").read_text(encoding="utf-8")
    head, _, rest = text.partition("[products]")
    _, _, tail = rest.partition("[strips.legal]")
    (folder / "specification.toml").write_text(f"{head}[strips.legal]{tail}", encoding="utf-8")
    made = planned(folder)
    iron = made.steps[made.steps["operation"].str.startswith("iron")]
    assert not iron.empty
    assert "do" not in set(iron["status"])
    assert made.loads.empty


def test_water_without_a_strip_means_do_not_apply(tmp_path):
    folder = tmp_path / "wet"
    start(folder, sample=True)
    for name, old in (
        ("products.toml", "untreated_strip_m = 5.0\n"),
        ("specification.toml", "water_m = 5.0\n"),
    ):
        text = (folder / name).read_text(encoding="utf-8")
        assert old in text
        (folder / name).write_text(text.replace(old, ""), encoding="utf-8")
    made = planned(folder)
    iron = made.steps[made.steps["operation"].str.startswith("iron")]
    assert set(iron["status"]) == {"not set: do not apply"}
    assert not made.loads["operation"].str.startswith("iron").any()


def test_a_card_past_its_day_is_refused_with_the_reason(sample):
    made = planned(sample, today=dt.date(2029, 1, 1))
    iron = made.steps[made.steps["operation"].str.startswith("iron")]
    assert "do" not in set(iron["status"])
    assert "iron_card_past" in set(iron["rule"])


def test_the_same_inputs_give_the_same_plan(sample, made):
    again = planned(sample)
    pd.testing.assert_frame_equal(again.steps, made.steps)
    assert again.cautions == made.cautions


def test_planning_changes_nothing_on_disk(sample):
    before = {path: path.read_bytes() for path in sample.rglob("*") if path.is_file()}
    planned(sample)
    assert {path: path.read_bytes() for path in sample.rglob("*") if path.is_file()} == before
    assert json.loads(before[sample / "site.geojson"])["lawnmap"]["revision"] == 1


def test_a_site_of_many_that_is_alone_has_the_days_of_its_plan(made, sample):
    opened = open_site(sample)
    chosen = choices(opened, depot=None, personal=Path(sample) / "nobody", today=TODAY)
    again, work = with_its_work(opened.site, chosen, today=TODAY, site_id="by the river")
    pd.testing.assert_frame_equal(again.steps, made.steps)
    days = across([work])
    pd.testing.assert_frame_equal(placed(again.steps, days, "by the river"), made.steps)
    assert days.sites["visits"].tolist() == [float(len(made.dates.visits))]
