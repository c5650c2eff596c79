"""Which rake or machine, how often over and which way: by size, gate, slope and what is to hand."""

import math
import shutil

import pytest

from lawnmap.cli import plan_text
from lawnmap.jobs.trace import trace


def test_a_small_shaded_town_garden_is_raked_once(scenario):
    made = scenario("town_garden")
    zone = made.zone("back")
    assert (zone["verdict"], zone["blades_kind"]) == ("renovate", "rake")
    # 6 × 9 m; a rake is meant for ground up to about 100 m² (common practice).
    assert zone["ground_area_m2"] == pytest.approx(54, rel=1e-4)
    assert "a rake to about 100 m²" in made.reason("blades_rule", "back")
    # Two passes would do for moss of class 3; shade under 6 h of sun takes one off.
    assert zone["passes"] == 1
    assert "shade (4.5 h of direct sun a day)" in zone["causes"]
    assert "Let light in" in zone["stop_it"]
    assert "red fescue" in zone["seed_mixture"]


def test_the_town_gardens_steps_keep_their_order_and_waits(scenario):
    made = scenario("town_garden")
    assert made.operations("back")[:6] == [
        "mowing", "iron_soluble", "raking", "clearing", "aerating", "overseeding",
    ]  # fmt: skip
    assert made.zone("back")["iron_order"] == "before blades"
    assert "raked moss that is alive spreads" in made.reason("iron_rule", "back")
    iron, rake, seed = (
        made.day(each, "back") for each in ("iron_soluble", "raking", "overseeding")
    )
    # The card: 14 days to the rake, 42 to seed, which is sown by 10 October.
    assert (rake - iron).days >= 14
    assert (seed - iron).days >= 42
    assert (seed.month, seed.day) <= (10, 10)
    assert made.day("clearing", "back") == rake


def test_the_town_gardens_cans(scenario):
    # 50 g in 10 l over 16 m² on 54 m²: three cans and a last one for 6 m², which takes 18.75 g.
    load = scenario("town_garden").load("iron_soluble", "back")
    assert load["machine"] == "watering can"
    assert load["full_loads"] == 3
    assert load["last_product"] == pytest.approx(18.75, rel=1e-3)
    assert load["last_water_l"] == pytest.approx(3.75, rel=1e-3)


def test_180_m2_with_a_rake_takes_four_to_ten_evenings(scenario):
    made = scenario("rake_in_evenings")
    raking = made.step("raking")
    assert made.zone()["blades_rule"] == "blades_to_hand"
    assert "best of what is to hand" in made.reason("blades_rule")
    # 180 m² × 2 ÷ 46.5 and ÷ 18.6 m²/h (hand-raking blog, first and second day): 7.74 and 19.35 h.
    assert raking["hours_low"] == pytest.approx(7.74, abs=0.01)
    assert raking["hours"] == pytest.approx(19.35, abs=0.01)
    # At 2 h an evening: ⌈7.74 ÷ 2⌉ = 4 and ⌈19.35 ÷ 2⌉ = 10.
    assert "4 to 10 evenings of 2 h" in raking["remark"]
    assert raking["day_last"] > raking["day"]
    # Beside it what a hired machine would be.
    assert "electric scarifier" in raking["beside"]
    assert "hire" in raking["beside"]


def test_180_m2_fill_four_and_a_half_bins_at_the_least(scenario):
    made = scenario("rake_in_evenings")
    clearing = made.step("clearing")
    # 6 l/m² × 180 m² = 1,080 l = 4.5 bins of 240 l; one bin every 2 weeks: 5 bins, 10 weeks.
    assert clearing["amount_low"] == pytest.approx(1080, rel=1e-3)
    assert clearing["amount_low"] / 240 == pytest.approx(4.5, rel=1e-3)
    bins = made.cost("disposal", "arisings")
    assert bins["number_low"] == math.ceil(4.5)
    # 13 l/m² at the high end are 2,340 l: ⌈9.75⌉ = 10 bins, 20 weeks.
    assert bins["number"] == 10
    assert "10 to 20 weeks" in bins["remark"]


def test_180_m2_by_the_can(scenario):
    # 562.5 g and 112.5 l: eleven cans and a quarter of one, on 4 m² (practice.md, a home owner).
    made = scenario("rake_in_evenings")
    assert made.step("iron_soluble")["amount"] == pytest.approx(562.5, rel=1e-4)
    assert made.step("iron_soluble")["water_l"] == pytest.approx(112.5, rel=1e-4)
    load = made.load("iron_soluble")
    assert load["machine"] == "watering can"
    assert load["full_loads"] == 11
    assert load["last_product"] == pytest.approx(12.5, rel=1e-3)


def test_a_narrow_gate_keeps_the_petrol_machine_out(scenario):
    made = scenario("narrow_gate")
    assert made.zone()["blades"] == "electric scarifier"
    assert made.zone()["blades_rule"] == "blades_gate"
    # 0.68 m and 0.05 m of clearance is 0.73 m; the gate is 0.60 m.
    assert "needs 0.73 m" in made.said
    assert "0.60 m" in made.said


def test_900_m2_with_an_electric_machine_is_two_days_and_a_hundred_boxes(scenario):
    made = scenario("narrow_gate")
    blades = made.step("scarifying")
    # 0.30 m × 2,000 m/h × 0.6 = 360 m²/h; 900 m² × 2 ÷ 360 = 5.0 h of passes.
    assert blades["machine_hours"] == pytest.approx(5.0, rel=1e-3)
    # 6 l/m² × 900 m² = 5.4 m³ loose, 108 boxes of 50 l.
    assert made.step("clearing")["amount_low"] == pytest.approx(5400, rel=1e-3)
    assert "50 l 108 to" in blades["remark"]
    assert blades["days"] == 2
    assert "carry the cable over your shoulder" in made.said


def test_6000_m2_with_one_machine_are_15_hours_of_blades(scenario):
    made = scenario("estate", "2026-08-01")
    blades = made.step("scarifying", "park")
    # 0.38 m × 3,000 m/h × 0.7 = 798 m²/h (a maker's figure); 6,000 m² × 2 ÷ 798 = 15.04 h.
    assert blades["machine_hours"] == pytest.approx(6000 * 2 / 798, rel=1e-3)
    # At 7.5 h a day that is three days of hire, and no fewer people make it two.
    assert blades["days"] == 3
    assert len(made.plan.dates.hire) == 3
    assert made.cost("hire", "petrol")["number"] == 3


def test_6000_m2_have_36_m3_to_clear_by_skip(scenario):
    made = scenario("estate", "2026-08-01")
    assert made.step("clearing", "park")["amount_low"] == pytest.approx(36_000, rel=1e-3)
    # 36 m³ are six skips of 6 m³ full by volume; cores and weight may make it more.
    assert made.cost("disposal", "arisings: skip")["number_low"] >= 6
    # 60 h at the least, with 15.3 h of blades: 75 h, 2.5 days for four people at 7.5 h.
    assert "The machines alone need 3 days" in made.said


def test_6000_m2_come_to_the_vibration_limit(scenario):
    made = scenario("estate", "2026-08-01")
    # HSE ready reckoner: 2 a² t points; at 5 m/s² 100 points are 2 h and 400 points 8 h.
    assert made.step("scarifying", "park")["most_hours_a_day"] == pytest.approx(8.0)
    assert "share them out over people" in made.said


def test_a_machine_booked_for_two_days_fails_and_says_what_must_give(scenario):
    made = scenario("estate", "2026-08-01", "estate/booked_two_days")
    assert made.step("scarifying", "park")["day"] == ""
    assert "the days the petrol scarifier, hired can be had" in made.said


def test_without_a_machine_the_plan_says_so_and_what_to_get(scenario):
    made = scenario("no_machine")
    assert made.zone()["blades"] == ""
    assert made.step("scarifying")["status"] == "not allowed"
    said = made.why("scarifying")
    assert "There is no rake and no machine to hand for 300 m²" in said
    assert "hire an electric machine" in said
    assert "overseeding" not in made.operations()


def test_a_bank_too_steep_for_the_machine_is_raked_across(scenario):
    made = scenario("steep_bank")
    # 18° is over the 15° of the machine's manual; 10° is not.
    assert made.zone("bank")["blades_kind"] == "rake"
    assert "18° is steeper than a machine to hand may work across" in made.reason(
        "blades_rule", "bank"
    )
    assert made.zone("shoulder")["blades_kind"] == "petrol"
    for zone_id in ("bank", "shoulder"):
        assert made.zone(zone_id)["passes"] == 2
        assert "never up and down" in made.reason("crossing_rule", zone_id)
    # 30 × 10 m on the map are 300 ÷ cos 18° = 315.4 m² of ground.
    assert made.zone("bank")["ground_area_m2"] == pytest.approx(
        300 / math.cos(math.radians(18)), rel=1e-4
    )


def test_blades_are_lifted_over_a_boundary_wire(scenario):
    made = scenario("wire_and_irrigation")
    front, back = (made.step("scarifying", each) for each in ("front", "back"))
    assert "boundary wire" in front["flag"]
    assert "lift the blades over it" in front["remark"]
    assert "irrigation" in back["flag"]
    # Tines go 50 to 100 mm down, 75 as a rule, and the pipe lies at 80 mm.
    assert "irrigation. Keep tines off it" in made.step("aerating", "back")["flag"]


def test_where_nobody_asked_for_wires_the_plan_says_ask(scenario):
    said = scenario("narrow_gate").said
    assert "Not asked: walk and ask before blades" in said
    assert "Not asked" not in scenario("wire_and_irrigation").said


def test_a_hired_machine_goes_where_it_costs_less_than_the_hours_of_a_rake(
    scenarios, plan_of, tmp_path
):
    shutil.copytree(scenarios, tmp_path / "all", ignore=shutil.ignore_patterns("*.md"))
    folder = tmp_path / "all" / "rake_in_evenings"
    path = folder / "specification.toml"
    own = path.read_text(encoding="utf-8")
    assert 'machines = ["scarifying rake", ' in own
    both = own.replace("scarifying rake", 'scarifying rake", "petrol scarifier, hired', 1)

    def plan(text, hour_rate):
        path.write_text(f"{text}\n[money]\nhour_rate = {hour_rate}\n", encoding="utf-8")
        return plan_of(folder, "2026-08-01")

    # 12.2 h by rake at 30 are 367. By the machine about an hour, and what comes off takes 4.6 h:
    # three evenings of 2 h, 195.
    made = plan(both, 30)
    assert made.zone()["blades"] == "petrol scarifier, hired"
    assert made.cost("hire", "petrol")["cost"] == 195
    assert "scarifying rake: 7.74 to 19.4 h of passes" in made.step("scarifying")["beside"]
    # An hour that is worth 3 makes the rake cheaper, 37 against 198, and hire stands beside it.
    cheap = plan(both, 3)
    assert (cheap.zone()["blades"], cheap.zone()["blades_rule"]) == (
        "scarifying rake", "blades_by_cost",
    )  # fmt: skip
    assert "hire for 1 day at 65: 65" in cheap.step("raking")["beside"]
    # The figures behind the choice stand in the plan and in its trace.
    assert "scarifying rake 12.2 h, 36" in plan_text.text(cheap.plan)
    traced = [each for each in trace(cheap.plan, "lawn") if each.rule == "blades_by_cost"]
    assert any("scarifying rake 12.2 h" in str(each) for each in traced)
    # Who wants the rake has it.
    named = plan('blades = "scarifying rake"\n' + both, 30).zone()
    assert (named["blades"], named["blades_rule"]) == ("scarifying rake", "blades_named")
