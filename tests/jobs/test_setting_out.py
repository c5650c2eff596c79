"""Pass lines of the sample site, from the plan to what is handed over."""

import datetime as dt

import numpy as np
import pyogrio
import pytest
import shapely

from lawnmap import schema
from lawnmap.exports import sheet
from lawnmap.exports.gis import geopackage
from lawnmap.geometry.frame import about
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.start import start
from lawnmap.processing.disclose import disclose
from lawnmap.reference import tables

TODAY = dt.date(2026, 8, 1)


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    folder = tmp_path_factory.mktemp("site") / "garden"
    start(folder, sample=True)
    opened = open_site(folder)
    return opened.site, choices(opened, depot=None, personal=folder / "nobody", today=TODAY)


@pytest.fixture(scope="module")
def made(sample):
    return plan(*sample, today=TODAY)


def test_every_scarified_zone_has_its_lines(made):
    passes = made.tables["passes"]
    steps = made.steps[(made.steps["operation"] == "scarifying") & (made.steps["status"] == "do")]
    assert set(steps["zone_id"]) == set(passes[passes["operation"] == "scarifying"]["zone_id"])
    assert len(steps) >= 5
    assert set(passes["rule"]) <= set(tables.rules())
    assert set(passes["machine"]) <= set(made.steps["machine"])
    assert {str(each) for each in passes.dtypes} <= {"object", "str", "int64", "float64"}


def test_without_hidden_things_all_that_can_be_reached_is_covered(made):
    plain = made.tables["passes"].query("lifts == 0")
    assert (plain["reach_pct"] > 99.5).all()
    assert (plain["outside_m2"] < 0.01).all()


def test_blades_stay_off_the_hidden_things_of_the_site(made):
    frame = about(shapely.box(*made.zones.total_bounds))
    things = made.site.features.query("feature == 'hidden' and depth_mm <= 100")
    assert len(things)
    blades = made.layers["bouts"].query("operation == 'scarifying'")
    lines = frame.flat(np.asarray(blades.geometry.array))
    for shape in frame.flat(np.asarray(things.geometry.array)):
        keep = tables.value(
            "blades_point_m" if shape.geom_type == "Point" else "blades_line_m"
        ).number
        assert shapely.distance(lines, shape).min() >= keep + 0.38 / 2 - 3e-3


def test_bouts_lie_in_their_zone(made):
    bouts = made.layers["bouts"]
    zones = made.zones.geometry.loc[bouts["zone_id"]]
    assert shapely.covered_by(np.asarray(bouts.geometry.array), np.asarray(zones.array)).all()
    assert list(bouts.columns) == [*schema.names("bouts"), "geometry"]


def test_the_plans_hours_stay_as_they_are(sample, made):
    without = plan(*sample, today=TODAY, setting_out=False)
    assert "passes" not in without.tables
    assert "bouts" not in without.layers
    assert without.steps["hours"].equals(made.steps["hours"])


def test_a_zones_own_direction_reaches_the_plan(sample):
    site, specification = sample
    own = {**specification.by_zone, "main": {"pass_lines": {"heading_deg": 33.0, "along": ""}}}
    turned = plan(site, type(specification)(**{**vars(specification), "by_zone": own}), today=TODAY)
    (heading,) = turned.tables["passes"].query(
        "zone_id == 'main' and operation == 'scarifying' and `pass` == 1"
    )["heading_deg"]
    assert heading == 33.0


def test_lines_are_handed_over(made, tmp_path):
    path = tmp_path / "plan.gpkg"
    path.write_bytes(geopackage.render(disclose(made, "owner")))
    found = pyogrio.read_dataframe(path, layer="bouts")
    assert len(found) == len(made.layers["bouts"])
    assert set(found.geometry.geom_type) == {"LineString"}
    assert found.crs.to_epsg() == 4326
    lines = pyogrio.read_dataframe(path, layer="passes")
    assert list(lines["width_m"]) == list(made.tables["passes"]["width_m"])
    assert set(zip(found["zone_id"], found["pass"], strict=True)) <= set(
        zip(lines["zone_id"], lines["pass"], strict=True)
    )
    page = sheet.render(disclose(made, "crew")).decode()
    assert page.count("h by the lines") == made.tables["passes"]["hours"].notna().sum()
    public = disclose(made, "public").plan
    assert "hours" not in public.tables["passes"]
    assert "bouts" in public.tables["passes"]


def test_the_ground_of_the_loads_is_the_ground_of_the_step(made):
    areas = made.layers["load_areas"]
    key = ["zone_id", "operation", "sequence"]
    loads = made.loads.set_index(key)
    assert len(areas.groupby(key)) >= 4
    for which, rows in areas.groupby(key):
        load = loads.loc[which]
        count = load["full_loads"] + (load["last_area_m2"] > 0)
        assert list(rows["load"]) == list(range(1, int(count) + 1))
        assert rows["area_m2"].sum() == pytest.approx(
            load["full_loads"] * load["full_area_m2"] + load["last_area_m2"], rel=1e-12
        )
        assert rows["amount"].sum() == pytest.approx(
            load["full_loads"] * load["full_product"] + load["last_product"], rel=1e-12
        )


def test_the_crew_fills_up_at_the_tap_and_walks_every_zone_that_has_work(made):
    found = set(made.layers["refills"]["filled_at"])  # iron in water; bags of feed
    assert found == {"House tap", "Drive gate", "Side gate"}
    worked = made.steps.query("status == 'do' and operation != 'leave it alone'")["zone_id"]
    assert set(made.layers["walk"]["zone_id"]) == set(worked)


def test_cores_on_the_site_are_not_asked_for_again(made):
    asked = made.layers["core_places"].groupby("zone_id").size()
    assert (asked["main"], asked["orchard"]) == (2, 5)  # three were taken in the main lawn


def test_a_client_sees_no_ways_of_the_crew(made):
    seen = {who: set(disclose(made, who).plan.layers) for who in ("client", "crew")}
    assert {"walk", "refills", "core_places"} <= seen["crew"] - seen["client"]
