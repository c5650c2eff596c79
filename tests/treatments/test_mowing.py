"""Mowing down before the blades."""

import pytest

NO_SEED = {"seeding": {"wanted": False}}


def test_no_cut_takes_more_than_a_third(lawn):
    row = lawn.work(lawn.zones({"cut_height_mm": 60}), lawn.choices(**NO_SEED)).step("mowing")
    # 60 → 42.4 → 30 mm: each cut takes 29 %, under a third (common practice).
    assert (row["passes"], row["rule"]) == (2, "mow_down")
    assert "42, 30 mm" in row["remark"]


def test_lower_where_seed_follows(lawn):
    """S5: 20 to 30 mm before blades; the low end lets light at the seedlings."""
    row = lawn.work(lawn.zones({"cut_height_mm": 60}), lawn.choices()).step("mowing")
    # 60 → 41.6 → 28.8 → 20 mm: each cut takes 31 %.
    assert (row["passes"], row["rule"]) == (3, "mow_down_seed")
    assert "42, 29, 20 mm" in row["remark"]


def test_zones_of_one_lawn_are_mown_each_for_itself(lawn):
    zones = lawn.zones({"cut_height_mm": 60}, {"cut_height_mm": 60})
    unsown = {"b": {"seeding": {"wanted": False}}}
    worked = lawn.work(zones, lawn.choices(zones=unsown))
    assert [worked.step("mowing", zone)["passes"] for zone in "ab"] == [3, 2]


def test_short_grass_is_not_mown(lawn):
    short = lawn.zones({"cut_height_mm": 25})
    assert "mowing" not in lawn.work(short, lawn.choices(**NO_SEED)).operations()
    assert lawn.work(short, lawn.choices()).step("mowing")["passes"] == 1


@pytest.mark.parametrize(("choices", "rule"), [(NO_SEED, "mow_unknown"), ({}, "mow_unknown_seed")])
def test_unknown_height_is_flagged(lawn, choices, rule):
    row = lawn.work(lawn.zones(), lawn.choices(**choices)).step("mowing")
    assert (row["flag"], row["rule"]) == ("height of the grass not known", rule)
    assert row["hours"] == pytest.approx(180 / (1000 * 0.46 * 3.5 * 0.75))
