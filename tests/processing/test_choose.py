"""The judgement on each zone. Thresholds from practice.md (marked) or common practice."""

import pytest
import shapely

from lawnmap import schema
from lawnmap.model import Machine
from lawnmap.processing.choose import choose
from lawnmap.processing.machines import generic

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
    two_ways = one(lawn, big, features=[gate, gate], own=[PETROL])
    assert two_ways["blades"] == "petrol"


def test_a_bank_is_raked(lawn):
    steep = {"ground_area_m2": 300, "slope_deg": 20.0}
    found = one(lawn, steep, own=[PETROL, RAKE])
    assert (found["blades"], found["blades_rule"]) == ("rake", "blades_slope")
    assert one(lawn, steep, own=[PETROL])["blades_rule"] == "blades_too_steep"
    across = one(lawn, {"ground_area_m2": 300, "slope_deg": 12.0}, own=[PETROL])
    assert across["crossing_rule"] == "crossing_acute"


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
    assert one(lawn, {"sown_last": "2027-02-01"}, card)["iron_order"] == "before blades"
    assert one(lawn, {"sown_last": "2027-02-02"}, card)["iron_order"] == "none"


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


def test_no_zone_at_all(lawn):
    empty = lawn.zones({}).iloc[:0]
    assert choose(empty, lawn.features(), lawn.choices(lawn.iron)).empty
