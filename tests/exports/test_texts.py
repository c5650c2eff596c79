"""What is said of zones, steps and loads."""

import pandas as pd
import pytest

from lawnmap.exports.wording import load_text, step_text, zone_text
from lawnmap.exports.wording.rows import zone_rows
from tests.exports.papers import paper


def plain(shown):
    return shown.replace("\u00a0", " ")


ROWS = dict(zone_rows(paper().plan.zones))


def lines(zone_id, units="metric", **changes):
    found = zone_text.found({**ROWS[zone_id], **changes}, units)
    return {line.label: plain(line.text) for line in found}


def test_a_rating_stays_a_class_and_a_measurement_says_so():
    assert zone_text.moss(ROWS["z0"]) == "much, 25 to 50 %"
    assert plain(zone_text.moss(ROWS["z6"])) == ("62 % measured: more moss than grass, 50 to 75 %")
    assert zone_text.moss(ROWS["z8"]) == ""
    without_plan = {"moss_rating": 1.0}
    assert plain(zone_text.moss(without_plan)) == "under 5 %"


def test_cores_are_a_range():
    row = {"thatch_from": "cores", "thatch_low_mm": 14.0, "thatch_high_mm": 18.0}
    assert plain(zone_text.thatch(row)) == "14 to 18 mm from cores"


def test_a_strip_nobody_set_is_never_a_number():
    assert lines("z6")["Strip along water or drains"] == "not set: do not apply"
    assert "Strip along water or drains" not in lines("z0")
    assert "Strip along water or drains" not in lines(
        "z0", water_strip_from="none mapped", water_strip_m=0.0
    )
    set_by_label = lines("z0", water_strip_from="label", water_strip_m=6.0)
    assert set_by_label["Strip along water or drains"] == "6 m; set by the label"


def test_a_slope_is_said_as_one_in_n_and_both_areas_are_shown():
    found = lines("z10", plan_area_m2=388.0)
    assert found["Slope"] == "1 in 4 (14°)"
    assert found["Area on the map"] == "388 m²"
    assert found["Ground area"] == "400 ± 3 m²; outline: walked with GPS"
    assert "Area on the map" not in lines("z0")


def test_areas_in_feet_and_yards_when_asked():
    assert lines("z0", units="us")["Ground area"].startswith("8783 ± 38 sq ft")
    assert lines("z0", units="imperial")["Ground area"].startswith("976 ± 4 sq yd")


def test_the_clients_own_numbers_are_kept():
    assert zone_text.subtitle(ROWS["z0"]) == "your number A1 · lot 1"
    assert zone_text.subtitle(ROWS["z8"]) == "lot 2 · looked after by the tenant of the lodge"


def test_a_zone_without_a_name_goes_by_its_id():
    assert zone_text.name({}, "z7") == "z7"


def test_choices_carry_their_rules():
    found = {line.label: line for line in zone_text.chosen(ROWS["z0"])}
    assert found["Passes"] == ("Passes", "up to 2 passes", "passes_by_thatch")
    assert plain(found["Depth setting"].text) == "2 to 5 mm"
    assert plain(found["Bare after the blades"].text) == "20 to 45 %"
    assert zone_text.verdict(ROWS["z4"]).text == "Renovate in stages"


def test_columns_that_were_not_disclosed_are_not_missed():
    assert zone_text.found({}, "metric") == []
    assert zone_text.chosen({}) == []
    assert zone_text.verdict({}).text == ""
    assert zone_text.ground({}, "metric") == ""


def steps(status="do", **cells):
    row = {"zone_id": "z0", "operation": "iron_soluble", "sequence": 1, "status": status, **cells}
    (found,) = step_text.steps(pd.DataFrame([row]), "metric")["z0"]
    return found


def test_steps_come_in_the_order_of_work():
    table = paper().plan.steps.iloc[::-1]
    assert [each.operation for each in step_text.steps(table, "metric")["z0"]] == [
        "mowing", "iron_soluble", "scarifying", "clearing", "overseeding", "feeding",
        "top_dressing",
    ]  # fmt: skip


@pytest.mark.parametrize("status", ["for pricing only", "not set: do not apply"])
def test_a_rate_that_must_not_be_applied_is_not_shown(status):
    cells = {"dose": 3.125, "dose_unit": "g/m²", "water_l": 10.0, "amount": 562.5, "unit": "g"}
    assert plain(steps(**cells).amounts) == "563 g, 3.13 g/m²"
    assert plain(steps(status, **cells).amounts) == "563 g"
    assert steps(status, **cells).water == ""


def test_left_out_steps_are_told_apart():
    found = step_text.steps(paper().plan.steps, "metric")["z0"]
    assert [each.operation for each in step_text.left_out(found)] == ["top_dressing"]
    assert len(step_text.working(found)) == 6


def test_an_operation_of_a_plugin_is_shown_by_its_name():
    row = pd.DataFrame([{"zone_id": "z0", "operation": "worm_casting"}])
    assert step_text.steps(row, "metric")["z0"][0].title == "worm casting"


def load(**cells):
    row = {"zone_id": "z0", "operation": "iron_soluble", "product": "P", "machine": "watering can"}
    return load_text.loads(pd.DataFrame([{**row, **cells}]))


# 180 m² at 50 g in 10 l over 16 m² (Cornwall Cricket, 28 January 2019): 11 cans and a quarter.
CANS = {
    "container_l": 10.0, "full_loads": 11, "full_product": 50.0, "full_water_l": 10.0,
    "full_area_m2": 16.0, "last_product": 12.5, "last_water_l": 2.5, "last_area_m2": 4.0,
    "product_unit": "g",
}  # fmt: skip


def test_cans_as_printed():
    (found,) = load(**CANS)
    assert plain(found.machine) == "watering can, 10 l"
    assert plain(found.full) == (
        "11 full loads, each: 50 g in 10 l, covers 16 m²: peg out 2 × 8 m."
    )
    assert plain(found.last) == ("Then one part-load: 13 g in 2.5 l, covers 4 m²: peg out 1 × 4 m.")


def test_what_is_weighed_is_what_the_scales_can_tell():
    (found,) = load(**CANS, full_weigh=50.0, last_weigh=12.4, flag="Too coarse.")
    assert "each: 50 g in 10 l" in plain(found.full)
    assert "part-load: 12.4 g in 2.5 l" in plain(found.last)  # 13 g would be more than was planned
    assert found.flag == "Too coarse."


@pytest.mark.parametrize(("water", "at"), [(None, "at its coldest"), (12.0, "at 12 °C")])
def test_how_strong_the_mix_is(water, at):
    (found,) = load(
        **CANS, concentration_g_l=5.0, as_salt_g_l=4.98, dissolves_g_l=286.0, water_c=water
    )
    assert found.mix.replace("\u00a0", " ") == (
        f"Mix: 5 g/l. That is 4.98 g/l as heptahydrate; water {at} dissolves 286 g/l."
    )
    assert load(**CANS)[0].mix == ""


def test_a_size_that_the_machines_name_says_is_not_said_twice():
    (found,) = load(**{**CANS, "machine": "can, 10 l"})
    assert plain(found.machine) == "can, 10 l"


def test_less_than_a_load_and_a_dry_load():
    (small,) = load(**{**CANS, "full_loads": 0})
    assert (small.full, small.last[:14]) == ("", "One part-load:")
    dry = {**CANS, "full_loads": 1, "full_water_l": 0.0, "last_product": 0.0, "last_water_l": 0.0}
    (hopper,) = load(**dry)
    assert plain(hopper.full) == "1 full load: 50 g, covers 16 m²: peg out 2 × 8 m."
    assert hopper.last == ""


def test_a_row_that_loads_nothing_says_nothing():
    assert load(full_loads=0) == []


@pytest.mark.parametrize("area", [1.0, 3.7, 16.0, 150.0, 5000.0])
def test_a_pegged_patch_has_the_area_and_is_no_ribbon(area):
    wide, _, long, _ = load_text.pegs(area).replace("\u202f", "").split("\u00a0")
    assert float(wide) * float(long) == pytest.approx(area, rel=0.03)
    assert float(long) <= 4 * float(wide) + 0.05


def test_a_patch_too_small_to_peg():
    assert load_text.pegs(0.4) == ""
