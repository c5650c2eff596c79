"""Raking and scarifying: hours against published work rates."""

import math
from dataclasses import replace

import pytest

from lawnmap.model import Machine
from lawnmap.processing.machines import generic

RAKE = generic()["scarifying rake"]
PETROL = Machine("petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7)


def test_hours_of_a_machine(lawn):
    """Y7: 0.38 m, 3 km/h, 0.70 is 798 m²/h; 6,000 m² × 2 passes are 15.0 h (practice.md)."""
    zones = lawn.zones({"ground_area_m2": 6000.0})
    row = lawn.work(zones, lawn.choices(own=[PETROL])).step("scarifying")
    assert (row["passes"], row["rule"]) == (2, "hours_by_capacity")
    assert row["machine_hours"] == pytest.approx(15.04, abs=0.01)
    assert (row["hours_low"], row["hours"]) == pytest.approx((15.29, 15.54), abs=0.01)
    assert "Start at 2 mm" in row["remark"]
    assert "right angles" in row["remark"]


def test_hours_of_a_rake(lawn):
    """Y9 and Y10: 18.6 to 46.5 m²/h; 180 m² × 2 are 8 to 19 h (practice.md (c) 2)."""
    row = lawn.work(lawn.zones(), lawn.choices()).step("raking")
    assert (row["hours_low"], row["hours"]) == (pytest.approx(7.74, abs=0.01),
                                                pytest.approx(19.35, abs=0.01))  # fmt: skip
    assert row["rule"] == "hours_by_hand"


def test_a_machine_without_figures_takes_those_of_its_kind(lawn):
    zones = lawn.zones({"ground_area_m2": 1000.0})
    plain = Machine("hired", "petrol")
    row = lawn.work(zones, lawn.choices(own=[plain])).step("scarifying")
    # 0.38 m × 3 km/h × 0.5 to 0.7 (common practice): 570 to 798 m²/h.
    # Getting ready adds a quarter to half an hour (common practice).
    assert row["hours"] == pytest.approx(2000 / 570 + 0.5)
    assert row["hours_low"] == pytest.approx(2000 / 798 + 0.25)


def test_a_rate_of_its_own_beats_width_and_speed(lawn):
    own = Machine("mine", "petrol", width_m=0.38, speed_km_h=3.0, area_m2_h=500.0)
    row = lawn.work(
        lawn.zones({"ground_area_m2": 1000.0}), lawn.choices(own=[own])
    ).step("scarifying")  # fmt: skip
    assert (row["machine_hours"], row["hours"]) == (4, 4.5)


def test_getting_ready_is_counted_once_a_machine(lawn):
    zones = lawn.zones({"ground_area_m2": 900.0}, {"ground_area_m2": 900.0})
    worked = lawn.work(zones, lawn.choices(own=[PETROL]))
    extra = [
        row["hours"] - row["machine_hours"]
        for row in (worked.step("scarifying", zone) for zone in "ab")
    ]
    assert extra == pytest.approx([0.25, 0.25])


def test_an_electric_machine_empties_its_box(lawn):
    """practice.md 3: 900 m² are 5.0 h of blades and over 100 box empties of 50 l."""
    own = Machine("electric", "electric", width_m=0.3, speed_km_h=2.0, field_efficiency=0.6,
                  box_l=50)  # fmt: skip
    row = lawn.work(lawn.zones({"ground_area_m2": 900.0}), lawn.choices(own=[own])).step(
        "scarifying"
    )
    assert row["machine_hours"] == pytest.approx(5.0)
    # 900 m² × 6 and × 13 l/m² are 108 and 234 boxes of 50 l, 1 to 3 minutes each.
    assert "Empty the box of 50 l 108 to 234 times" in row["remark"]
    assert row["hours_low"] == pytest.approx(5.0 + 108 / 60 + 0.25)
    assert row["hours"] == pytest.approx(5.0 + 234 * 3 / 60 + 0.5)
    assert row["rule"] == "hours_with_box"


def test_vibration_caps_a_day(lawn):
    """HSE ready reckoner: 5 m/s² reaches the limit of 400 points in 8 h, 10 m/s² in 2 h."""
    zones = lawn.zones({"ground_area_m2": 900.0})
    shaking = replace(PETROL, vibration_m_s2=10.0)
    rows = [
        lawn.work(zones, lawn.choices(own=[each])).step("scarifying") for each in (PETROL, shaking)
    ]
    assert [row["most_hours_a_day"] for row in rows] == [8, 2]
    by_hand = lawn.work(lawn.zones(), lawn.choices()).step("raking")
    assert math.isnan(by_hand["most_hours_a_day"])
    assert math.isnan(by_hand["machine_hours"])


def test_a_tractor_shakes_nobodys_hands(lawn):
    row = lawn.work(
        lawn.zones({"ground_area_m2": 9000.0}),
        lawn.choices(own=[generic()["tractor-mounted scarifier"]]),
    ).step("scarifying")
    # 9,000 m² × 2 at 1.2 m × 4 km/h × 0.6 are 6.25 h.
    assert row["machine_hours"] == pytest.approx(6.25)
    assert math.isnan(row["most_hours_a_day"])


def test_a_rake_says_how_many_evenings_and_shows_the_hire_beside(lawn):
    """practice.md (c) 2: 8 to 19 h are some 4 to 10 evenings of 2 h; the hire day beside it."""
    row = lawn.work(lawn.zones(), lawn.choices()).step("raking")
    assert "4 to 10 evenings of 2 h" in row["remark"]
    assert "about 18 m² an evening" in row["remark"]
    assert row["beside"].startswith("electric scarifier: 0.857 to 1.2 h of passes, for hire")
    three = lawn.choices(crew={"people": 1, "hours_a_day": 7, "evening_h": 3})
    assert "3 to 7 evenings of 3 h" in lawn.work(lawn.zones(), three).step("raking")["remark"]


def test_a_machine_that_may_not_go_there_is_no_choice(lawn):
    steep = lawn.zones({"ground_area_m2": 300.0, "slope_deg": 20.0})
    for own in ([PETROL, RAKE], [RAKE]):
        assert lawn.work(steep, lawn.choices(own=own)).step("raking")["beside"] == ""


def test_a_hired_machine_has_the_rake_beside_it_and_a_price(lawn):
    hired = replace(PETROL, hire_a_day=60.0, hire_least_days=2)
    choices = lawn.choices(own=[hired, RAKE], money={"currency": "GBP"})
    row = lawn.work(lawn.zones({"ground_area_m2": 300.0}), choices).step("scarifying")
    assert row["beside"] == "scarifying rake: 12.9 to 32.3 h of passes, 7 to 17 evenings of 2 h"
    small = lawn.work(lawn.zones({"ground_area_m2": 90.0}), choices).step("raking")
    # 90 m² × 2 ÷ 798 m²/h; the shop lets it for two days at least.
    assert small["beside"] == "petrol: 0.226 h of passes, hire for 2 days at 60: 120 GBP"
    brought = replace(hired, hire_delivery=35.0)
    row = lawn.work(lawn.zones({"ground_area_m2": 90.0}), lawn.choices(own=[brought, RAKE]))
    assert row.step("raking")["beside"].endswith("at 60 and 35 to bring it: 155")


def test_a_spring_tine_rake_goes_over_three_times_as_often(lawn):
    """practice.md 3: it lifts about a third of the moss that a scarifying rake does in a pass."""
    tines = generic()["spring-tine rake"]
    row = lawn.work(lawn.zones(), lawn.choices(own=[tines])).step("raking")
    assert row["passes"] == 6
    assert row["hours_low"] == pytest.approx(3 * 360 / 46.5)
    half = replace(tines, yield_share=0.5)
    assert lawn.work(lawn.zones(), lawn.choices(own=[half])).step("raking")["passes"] == 4


def test_ground_too_steep_in_places_is_flagged(lawn):
    zones = lawn.zones({"ground_area_m2": 900.0, "slope_deg": 8.0}).assign(slope_most_deg=22.0)
    row = lawn.work(zones, lawn.choices(own=[PETROL])).step("scarifying")
    assert row["flag"] == "up to 22° in places, and 15° is its most: rake those"


def test_a_ban_keeps_blades_off_thirsty_turf(lawn):
    row = lawn.work(lawn.zones(), lawn.choices(water_ban=True)).step("raking")
    assert "not on thirsty turf" in row["flag"]


def test_what_lies_hidden_is_flagged(lawn):
    wire = {"feature": "hidden", "hidden_kind": "boundary wire"}
    row = lawn.work(
        lawn.zones({"ground_area_m2": 900.0}), lawn.choices(own=[PETROL]), lawn.features(wire)
    ).step("scarifying")
    assert row["flag"] == "hidden here: boundary wire. Mark it first"


def test_nothing_to_hand_is_said_once(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(own=[Machine("can", "can", tank_l=10)]))
    row = worked.step("scarifying")
    assert (row["status"], row["rule"]) == ("not allowed", "blades_none")
    assert "raking" not in worked.operations()
    assert "clearing" not in worked.operations()


def test_what_the_machine_keeps_clear_of_is_raked_and_its_hours_count(lawn):
    """18.6 to 46.5 m²/h (Y9, Y10): 6 m² × 2 passes are 0.26 to 0.65 h beside the machine."""
    whole = {"ground_area_m2": 6000.0}
    parted = {**whole, "blades_area_m2": 5994.0, "rake_area_m2": 6.0}
    every, some = (
        lawn.work(lawn.zones(each), lawn.choices(own=[PETROL])).step("scarifying")
        for each in (whole, parted)
    )
    assert some["area_m2"] == pytest.approx(6000)
    assert some["machine_hours"] == pytest.approx(every["machine_hours"] * 5994 / 6000)
    beside = some["hours"] - every["hours"] + every["machine_hours"] - some["machine_hours"]
    assert beside == pytest.approx(6 * 2 / 18.6, rel=1e-3)
    assert "Rake 6 m² by hand" in some["remark"]
