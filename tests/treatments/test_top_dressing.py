"""Dressing only for a reason."""

import pytest


def test_by_volume_weight_and_barrow(lawn):
    """agronomy.md 7: 300 m² × 3 mm = 0.900 m³, with 10 % more 0.99 m³ and 1.58 t."""
    choices = lawn.choices(top_dressing={"wanted": True, "depth_mm": 3, "reason": "hollows"})
    row = lawn.work(lawn.zones({"ground_area_m2": 300.0}), choices).step("top_dressing")
    assert (row["amount_low"], row["amount"]) == (pytest.approx(0.9), pytest.approx(0.99))
    assert row["unit"] == "m³"
    assert row["remark"] == "hollows: about 1.6 t, 13 barrows"


def test_wanted_without_a_reason_is_not_planned(lawn):
    row = lawn.work(lawn.zones(), lawn.choices(top_dressing={"wanted": True})).step("top_dressing")
    assert (row["status"], row["rule"]) == ("not needed", "top_dress_off")


def test_not_wanted_is_not_mentioned(lawn):
    assert "top_dressing" not in lawn.work(lawn.zones(), lawn.choices()).operations()
