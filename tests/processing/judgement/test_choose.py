"""The judgement on each zone. Thresholds from practice.md (marked) or common practice."""

import datetime as dt
from dataclasses import replace

import pytest
import shapely

from lawnmap import schema
from lawnmap.model import Machine
from lawnmap.processing.judgement.choose import choose
from lawnmap.processing.machines import generic
from lawnmap.reference import tables

PETROL = Machine("petrol", "petrol", width_m=0.38, overall_width_m=0.7, speed_km_h=3.0,
                 field_efficiency=0.7)  # fmt: skip
ELECTRIC = Machine("electric", "electric", width_m=0.3, overall_width_m=0.4)
RAKE = Machine("rake", "rake")


def one(lawn, zone=None, *cards, features=(), **choices):
    table = choose(
        lawn.zones(zone or {}), lawn.features(*features), lawn.choices(*cards, **choices)
    )
    return table.loc["a"]


def test_every_column_of_the_step_and_no_other(lawn):
    before = set(lawn.zones().columns)
    found = choose(lawn.zones(), lawn.features(), lawn.choices(lawn.iron))
    wanted = {column.name for column in schema.columns("zones") if column.step == "choose"}
    assert set(found.columns) - before == wanted


@pytest.mark.parametrize(
    ("zone", "verdict", "rule"),
    [
        ({"moss_rating": 1, "thatch_mm": 5}, "leave it alone", "leave_alone"),
        ({"moss_rating": 2}, "light work", "light_work"),
        ({"moss_rating": 3}, "renovate", "renovate"),
        ({"moss_rating": 0, "thatch_rating": 2}, "renovate", "renovate"),
        ({"moss_rating": 0, "thatch_mm": 19}, "staged", "staged_thatch"),
        ({"moss_rating": 0, "thatch_mm": 18.9}, "renovate", "renovate"),
        ({"moss_rating": 5, "sun_hours_seen": 3}, "not for grass", "not_for_grass"),
        ({"moss_rating": None, "thatch_rating": None}, "not rated", "not_rated"),
        ({"moss_rating": None, "thatch_rating": 0}, "not rated", "half_rated"),
        ({"turf_type": "cricket square", "thatch_rating": 2}, "not rated", "thatch_not_measured"),
        ({"turf_type": "cricket square", "thatch_mm": 12, "moss_rating": 0}, "renovate",
         "renovate_fine"),
        ({"turf_type": "cricket square", "thatch_mm": 16, "moss_rating": 0}, "staged",
         "staged_thatch_fine"),
    ],
)  # fmt: skip
def test_verdict(lawn, zone, verdict, rule):
    found = one(lawn, zone)
    assert (found["verdict"], found["verdict_rule"]) == (verdict, rule)


def test_a_rating_stays_a_band_and_a_measurement_beats_it(lawn):
    rated = one(lawn, {"moss_rating": 3, "thatch_rating": 4})
    assert (rated["moss_low_pct"], rated["moss_high_pct"], rated["moss_from"]) == (25, 50, "rating")
    assert rated["thatch_low_mm"] == 25
    assert rated["thatch_high_mm"] != rated["thatch_high_mm"], "the last class is open"
    seen = one(lawn, {"moss_rating": 3, "moss_cover_pct": 60})
    assert (seen["moss_low_pct"], seen["moss_high_pct"], seen["moss_from"]) == (60, 60, "measured")


def test_cores_say_what_they_can(lawn):
    # Newcombe 1998, table 1: 81 of 263 gives 0.2553 to 0.3662.
    grid = {"feature": "core", "zone_id": "a", "moss_hits": 81, "moss_points": 263}
    plugs = [{"feature": "core", "thatch_mm": mm} for mm in (13, 16, 19)]
    found = one(lawn, {"moss_rating": 5, "thatch_rating": 0}, features=[grid, *plugs])
    assert found["moss_from"] == found["thatch_from"] == "cores"
    assert found["moss_low_pct"] == pytest.approx(25.53, abs=0.01)
    assert found["moss_high_pct"] == pytest.approx(36.62, abs=0.01)
    # mean 16, s 3, n 3: t(0.975, 2) = 4.303, half = 4.303 × 3 / √3 = 7.45 (practice.md: 9 to 23).
    assert found["thatch_low_mm"] == pytest.approx(8.55, abs=0.01)
    assert found["thatch_high_mm"] == pytest.approx(23.45, abs=0.01)
    assert found["verdict"] == "renovate"


def test_a_single_core_says_no_more_than_its_class(lawn):
    found = one(lawn, {"thatch_rating": 0}, features=[{"feature": "core", "thatch_mm": 15}])
    assert (found["thatch_low_mm"], found["thatch_high_mm"]) == (13, 19)


def test_left_by_choice(lawn):
    found = one(lawn, {"moss_rating": 5}, zones={"a": {"leave": True}})
    assert (found["verdict"], found["verdict_rule"]) == ("leave it alone", "leave_by_choice")


@pytest.mark.parametrize(
    ("area", "blades", "rule"),
    [
        (100, "rake", "blades_by_area"),
        (101, "electric", "blades_by_area"),
        (200, "electric", "blades_by_area"),
        (201, "petrol", "blades_by_area"),
    ],
)
def test_blades_by_area(lawn, area, blades, rule):
    found = one(lawn, {"ground_area_m2": area}, own=[RAKE, ELECTRIC, PETROL])
    assert (found["blades"], found["blades_rule"]) == (blades, rule)


def test_the_best_of_what_is_to_hand(lawn):
    """practice.md (c) 2: 180 m² and only a rake is raked, not sent to a hire shop."""
    found = one(lawn, own=[RAKE])
    assert (found["blades"], found["blades_rule"]) == ("rake", "blades_to_hand")
    assert found["passes"] == 2


def test_a_machine_that_does_not_fit_through_the_only_gate(lawn):
    gate = {"feature": "access", "width_m": 0.6}
    big = {"ground_area_m2": 300}
    found = one(lawn, big, features=[gate], own=[PETROL, ELECTRIC])
    assert (found["blades"], found["blades_rule"]) == ("electric", "blades_gate")
    nothing = one(lawn, big, features=[gate], own=[PETROL])
    assert (nothing["blades"], nothing["blades_rule"]) == ("", "blades_too_wide")
    assert one(lawn, big, features=[gate, gate], own=[PETROL])["blades"] == ""
    for wide in ({**gate, "width_m": 0.75}, {**gate, "width_m": None}):
        assert one(lawn, big, features=[gate, wide], own=[PETROL])["blades"] == "petrol"
    tight = {**gate, "width_m": 0.74}  # 0.7 m and 0.05 m to spare
    assert one(lawn, big, features=[tight], own=[PETROL])["blades"] == ""


def test_a_machine_too_heavy_for_the_steps(lawn):
    """Two people lift 50 kg together, one 25 kg (common practice; the regulator's filter is 25)."""
    steps = {"feature": "access", "width_m": 1.0, "steps": 4}
    big, crew = {"ground_area_m2": 300}, {"people": 2, "hours_a_day": 7.0}
    heavy, light = replace(PETROL, weight_kg=60.0), replace(ELECTRIC, weight_kg=15.0)
    found = one(lawn, big, features=[steps], own=[heavy, light], crew=crew)
    assert (found["blades"], found["blades_rule"]) == ("electric", "blades_steps")
    assert one(lawn, big, features=[steps], own=[heavy])["blades_rule"] == "blades_too_heavy"
    middling = replace(PETROL, weight_kg=40.0)
    assert one(lawn, big, features=[steps], own=[middling], crew=crew)["blades"] == "petrol"
    assert one(lawn, big, features=[steps], own=[middling])["blades"] == ""


def test_ground_too_narrow_for_a_machine(lawn):
    wide = Machine("gang", "tractor", width_m=1.2, overall_width_m=1.4)
    strip = lawn.zones({"ground_area_m2": 300})
    strip.geometry = [shapely.box(0, 53.8, 1.5e-5, 53.801)]  # 1 m × 111 m
    strip = strip.assign(outline_area_m2=110.0, perimeter_m=224.0)
    table = choose(strip, lawn.features(), lawn.choices(own=[wide, PETROL]))
    assert table.loc["a", "blades"] == "petrol"
    alone = choose(strip, lawn.features(), lawn.choices(own=[wide]))
    assert alone.loc["a", "blades_rule"] == "blades_too_narrow"
    both = choose(strip, lawn.features(), lawn.choices(own=[wide, ELECTRIC]))
    assert both.loc["a", ["blades", "blades_rule"]].tolist() == ["electric", "blades_narrow"]


def test_ones_own_before_a_hired_one_and_the_cheaper_before_the_dearer(lawn):
    own, dear, cheap = (
        replace(PETROL, name=name, hire_a_day=price, width_m=width)
        for name, price, width in (("own", None, 0.3), ("dear", 80.0, 0.5), ("cheap", 50.0, 0.3))
    )
    big = {"ground_area_m2": 300}
    assert one(lawn, big, own=[dear, cheap, own])["blades"] == "own"
    found = one(lawn, big, own=[dear, cheap, RAKE])
    assert found["blades"] == "cheap"
    assert found["blades_others"] == "dear; rake"


def test_a_bank_is_raked(lawn):
    steep = {"ground_area_m2": 300, "slope_deg": 20.0}
    found = one(lawn, steep, own=[PETROL, RAKE])
    assert (found["blades"], found["blades_rule"]) == ("rake", "blades_slope")
    assert one(lawn, steep, own=[PETROL])["blades_rule"] == "blades_too_steep"
    across = one(lawn, {"ground_area_m2": 300, "slope_deg": 12.0}, own=[PETROL])
    assert across["crossing_rule"] == "crossing_acute"


@pytest.mark.parametrize("own", [[PETROL, RAKE], [RAKE], []])
def test_no_blades_on_seedlings_unless_they_hold(lawn, own):
    today = lawn.choices().choice("today")
    limit = int(tables.value("seedling_days").number)
    sown = {days: f"{today - dt.timedelta(days=days)}" for days in (limit - 1, limit)}
    young = one(lawn, {"sown_last": sown[limit - 1]}, own=own)
    assert (young["blades"], young["blades_kind"], young["blades_others"]) == ("", "", "")
    assert young["blades_rule"] == "blades_young"
    assert tables.sentence("blades_young", young).startswith(f"Sown on {sown[limit - 1]}: in the")
    plain = one(lawn, own=own)["blades_rule"]
    for older in (
        {"sown_last": sown[limit]},
        {"sown_last": sown[limit - 1], "tug_test": "holds"},
    ):
        assert one(lawn, older, own=own)["blades_rule"] == plain
    untouched = {"sown_last": sown[limit - 1], "moss_rating": 0, "thatch_rating": 0}
    assert one(lawn, untouched, own=own)["blades_rule"] == ""


def test_operations_left_out_take_their_machines_with_them(lawn):
    found = one(lawn, {"ground_area_m2": 300}, own=[PETROL, RAKE], operations=("raking",))
    assert found["blades"] == "rake"


def test_nothing_to_hand(lawn):
    found = one(lawn, own=[generic()["watering can, 10 l"]])
    assert (found["blades"], found["blades_rule"]) == ("", "blades_none")


def test_a_square_goes_one_way_and_a_lawn_crosses(lawn):
    square = one(
        lawn, {"turf_type": "cricket square", "thatch_mm": 12, "moss_rating": 0}, own=[PETROL]
    )
    # Northern Cricket Union 2010: 8.5 to 12.7 mm, one direction only.
    assert (square["depth_low_mm"], square["depth_high_mm"]) == (8.5, 12.7)
    assert square["crossing"] == "one direction only"
    usual = one(lawn, own=[PETROL])
    assert (usual["depth_low_mm"], usual["depth_high_mm"]) == (2, 5)
    assert usual["crossing_rule"] == "crossing_right_angle"


@pytest.mark.parametrize(
    ("zone", "rule"),
    [
        ({}, "crossing_right_angle"),
        ({"bare_pct": 30}, "crossing_thin"),
        ({"slope_deg": 12.0}, "crossing_acute"),
        ({"sun_hours_seen": 5}, "crossing_single"),
    ],
)
def test_how_hard_the_second_pass_crosses(lawn, zone, rule):
    """practice.md 3: the same lines are gentlest, right angles hardest, acute lies between."""
    assert one(lawn, zone, own=[PETROL])["crossing_rule"] == rule


def test_weak_grass_is_gone_over_along_the_same_lines(lawn):
    tines = generic()["spring-tine rake"]
    found = one(lawn, {"tug_test": "comes up"}, own=[tines])
    assert (found["passes"], found["crossing"]) == (3, "again along the same lines")
    assert found["passes_rule"] == "passes_spring_tine"


def test_weak_grass_gets_one_pass_less_at_the_shallow_end(lawn):
    found = one(lawn, {"tug_test": "comes up"}, own=[PETROL])
    assert (found["passes"], found["depth_low_mm"], found["depth_high_mm"]) == (1, 2, 2)


def test_blades_stay_above_half_of_what_is_hidden(lawn):
    wire = {"feature": "hidden", "hidden_kind": "boundary wire", "depth_mm": 6,
            "geometry": shapely.Point(1e-4, 53.80005)}  # fmt: skip
    found = one(lawn, own=[PETROL], features=[wire])
    assert found["hidden"] == "boundary wire"
    assert (found["depth_high_mm"], found["depth_rule"]) == (3, "depth_hidden")
    on_top = one(lawn, own=[PETROL], features=[{**wire, "depth_mm": 0}])
    assert (on_top["depth_low_mm"], on_top["depth_high_mm"]) == (2, 5), "lifted over it instead"
    assert on_top["depth_rule"] == "depth_hidden"


def test_bare_after_the_blades(lawn):
    """S10 (Oregon State): 75 % of the moss comes out; 5 + 0.75 × 60 = 50."""
    found = one(lawn, {"moss_cover_pct": 60, "bare_pct": 5})
    assert (found["bare_after_low_pct"], found["bare_after_high_pct"]) == (50, 65)
    left = one(lawn, {"moss_rating": 0, "bare_pct": 5})
    assert (left["bare_after_low_pct"], left["bare_after_high_pct"]) == (5, 5)


@pytest.mark.parametrize(
    ("zone", "choices", "order", "rule"),
    [
        ({}, {}, "before blades", "iron_before"),
        ({}, {"own": [ELECTRIC]}, "before blades", "iron_before"),
        ({"ground_area_m2": 900}, {"own": [PETROL]}, "after blades", "iron_after_petrol"),
        ({"moss_depth_mm": 20}, {}, "none", "iron_none_deep_mat"),
        ({"moss_depth_mm": 19.9}, {}, "before blades", "iron_before"),
        ({}, {"iron": "not on this site"}, "none", "iron_none_site"),
        ({"iron": "not on this site"}, {}, "none", "iron_none_site"),
        ({"iron": "allowed"}, {"iron": "not on this site"}, "none", "iron_none_site"),
        ({}, {"zones": {"a": {"iron": "last resort"}}}, "none", "iron_last_resort"),
        ({"moss_rating": 1, "thatch_rating": 2}, {}, "none", "iron_none_little_moss"),
        ({"moss_rating": 1}, {}, "none", "leave_alone"),
        ({"sown_last": "2027-02-01"}, {}, "none", "iron_none_new_turf"),
        ({}, {"operations": ("raking",)}, "none", "iron_none_operation"),
        ({"water_strip_from": "not set"}, {}, "none", "not_set_water_strip"),
    ],
)
def test_the_place_of_iron(lawn, zone, choices, order, rule):
    found = one(lawn, zone, lawn.iron, **choices)
    assert (found["iron_order"], found["iron_rule"]) == (order, rule)


def test_the_label_may_say_that_new_turf_is_old_enough(lawn):
    card = lawn.card(seed_to_iron_days=28)
    held = {"tug_test": "holds"}
    assert one(lawn, {"sown_last": "2027-02-01", **held}, card)["iron_order"] == "before blades"
    assert one(lawn, {"sown_last": "2027-02-02", **held}, card)["iron_order"] == "none"


def test_repeats_only_as_often_as_the_label_allows(lawn):
    mossy = {"moss_rating": 5}
    assert one(lawn, mossy, lawn.iron)["iron_doses"] == 1
    twice = lawn.card(most_doses_a_year=2, least_days_between=28)
    assert one(lawn, mossy, twice)["iron_doses"] == 2
    assert one(lawn, {"moss_rating": 3}, twice)["iron_doses"] == 1
    assert one(lawn, mossy, lawn.card(most_doses_a_year=2))["iron_doses"] == 1


def test_causes_most_evident_first_and_acid_only_from_a_test(lawn):
    found = one(lawn, {"sun_hours_seen": 5, "drainage": "stands wet", "soil_ph": 5.2})
    assert found["causes"] == (
        "water stands; shade (5 h of direct sun a day); acid soil (pH 5.2 by a test)"
    )
    assert one(lawn, {"moss_rating": 0})["causes"] == ""
    assert "none seen yet" in one(lawn)["causes"]


@pytest.mark.parametrize(
    ("zone", "rules", "said"),
    [
        ({"drainage": "stands wet"}, "stop_wet", "Get the water away"),
        ({"compaction": "hard", "drainage": "slow"}, "stop_wet stop_packed", "Open the soil"),
        ({"cut_height_mm": 15}, "stop_cut", "Raise the cut to about 40 mm"),
        ({"soil_ph": 5.2}, "stop_acid", "to 6 to 6.5 pH"),
        ({"fed_last": "2025-03-01"}, "stop_hungry", "twice in spring and twice in autumn"),
        ({"wear": "heavy"}, "stop_worn", "Spread the wear"),
        ({"sun_hours_seen": 5}, "stop_light", "lift or thin crowns"),
        ({"sun_hours_seen": 3, "soil_ph": 5}, "stop_dark", "keep the moss"),
        ({"slope_deg": 20.0}, "stop_slope", "A bank of 20°"),
        ({}, "stop_unseen", "soil tested before liming"),
        ({"moss_rating": 0, "drainage": "slow"}, "", ""),
    ],
)
def test_what_would_stop_the_moss_coming_back(lawn, zone, rules, said):
    found = one(lawn, zone)
    assert found["stop_it_rules"] == rules
    assert said in found["stop_it"]
    assert "iron" not in found["stop_it"].replace("not with iron", ""), "a cause is no product"


def test_a_game_sets_its_cut(lawn):
    square = {"turf_type": "cricket square", "thatch_mm": 12, "cut_height_mm": 12}
    assert one(lawn, square)["stop_it_rules"] == "stop_cut_game"


def test_ways_out_of_thatch_too_deep_to_scarify_out(lawn):
    """T8 (over 15 mm core or strip, IOG 2014), T11 (Kansas strips at 19 mm), both printed."""
    deep = one(lawn, {"thatch_mm": 30, "ground_area_m2": 1000.0})
    assert (deep["verdict"], deep["verdict_rule"]) == ("staged", "too_deep_thatch")
    said = tables.sentence("too_deep_thatch", deep)
    assert "15 mm" in said
    assert "19 mm" in said
    # 40 mm × 3 mm every 40 mm are 3 l/m²; cores 178 × π/4 × 12² × 75 mm³ are 1.5 l/m².
    assert "deep scarifying to 40 mm for about 3 years, with about 3 m³ (4.8 t)" in deep["ways_out"]
    assert "hollow coring each autumn, the cores off and about 1.5 m³ (2.4 t)" in deep["ways_out"]
    assert deep["ways_out"].endswith("strip, and start again")
    staged = one(lawn, {"thatch_mm": 20})
    assert staged["ways_rule"] == "ways_staged"
    assert "strip" not in staged["ways_out"]
    assert one(lawn, {"thatch_mm": 15})["ways_out"] == ""


@pytest.mark.parametrize(
    ("zone", "choices", "mixture", "rule"),
    [
        ({}, {}, "general lawn mixture", "seed_usual"),
        ({"sun_hours_seen": 5}, {}, "red fescue", "seed_for_shade"),
        ({"wear": "heavy"}, {}, "general lawn mixture with ryegrass", "seed_for_wear"),
        ({"sun_hours_seen": 5, "wear": "heavy"}, {}, "tall fescue", "seed_for_shade_and_wear"),
        ({"turf_type": "sports pitch"}, {}, "ryegrass mixture", "seed_for_turf"),
        ({"turf_type": "cricket square"}, {}, "perennial ryegrass", "seed_for_turf"),
        ({"sun_hours_seen": 5}, {"seeding": {"mixture": "Bents"}}, "bents", "seed_chosen"),
        ({"sun_hours_seen": 5}, {"seeding": {"mixture": "no such"}}, "red fescue",
         "seed_for_shade"),
    ],
)  # fmt: skip
def test_grasses_by_light_wear_and_use(lawn, zone, choices, mixture, rule):
    """Univ. of Illinois, 26 May 1999: fine fescues before tall fescue before ryegrass in shade."""
    found = one(lawn, zone, **choices)
    assert (found["seed_mixture"], found["seed_rule"]) == (mixture, rule)


def test_no_zone_at_all(lawn):
    empty = lawn.zones({}).iloc[:0]
    assert choose(empty, lawn.features(), lawn.choices(lawn.iron)).empty
