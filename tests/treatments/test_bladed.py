"""Raking and scarifying: hours against published work rates."""

import pytest

from lawnmap.model import Machine

PETROL = Machine("petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7)


def test_hours_of_a_machine(lawn):
    """Y7: 0.38 m, 3 km/h, 0.70 is 798 m²/h; 6,000 m² × 2 passes are 15.0 h (practice.md)."""
    zones = lawn.zones({"ground_area_m2": 6000.0})
    row = lawn.work(zones, lawn.choices(own=[PETROL])).step("scarifying")
    assert (row["passes"], row["rule"]) == (2, "hours_by_capacity")
    assert row["hours"] == row["hours_low"] == pytest.approx(15.04, abs=0.01)
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
    assert row["hours"] == pytest.approx(2000 / 570)
    assert row["hours_low"] == pytest.approx(2000 / 798)


def test_a_rate_of_its_own_beats_width_and_speed(lawn):
    own = Machine("mine", "petrol", width_m=0.38, speed_km_h=3.0, area_m2_h=500.0)
    row = lawn.work(
        lawn.zones({"ground_area_m2": 1000.0}), lawn.choices(own=[own])
    ).step("scarifying")  # fmt: skip
    assert row["hours"] == 4


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
