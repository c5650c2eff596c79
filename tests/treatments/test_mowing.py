"""Mowing down before the blades."""

import pytest


def test_no_cut_takes_more_than_a_third(lawn):
    row = lawn.work(lawn.zones({"cut_height_mm": 60}), lawn.choices()).step("mowing")
    # 60 → 42.4 → 30 mm: each cut takes 29 %, under a third (common practice).
    assert (row["passes"], row["rule"]) == (2, "mow_down")
    assert "42, 30 mm" in row["remark"]


def test_short_grass_is_not_mown(lawn):
    assert "mowing" not in lawn.work(lawn.zones({"cut_height_mm": 25}), lawn.choices()).operations()


def test_unknown_height_is_flagged(lawn):
    row = lawn.work(lawn.zones(), lawn.choices()).step("mowing")
    assert (row["flag"], row["rule"]) == ("height of the grass not known", "mow_unknown")
    assert row["hours"] == pytest.approx(180 / (1000 * 0.46 * 3.5 * 0.75))
