"""The first cut of the seedlings."""

import pytest

from lawnmap.reference import tables


def test_high_late_and_by_a_third_at_most(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices())
    row = worked.step("first_cut")
    # 60 mm less a third (common practice) is 40 mm.
    assert "60 mm: down to 40 mm" in row["remark"]
    assert (row["rule"], row["wait_days"]) == ("first_cut", tables.value("first_cut_days").number)
    assert row["hours"] == pytest.approx(180 / (1000 * 0.46 * 3.5 * 0.75))
    assert worked.operations()[-1] == "first_cut"


def test_none_without_seed(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(seeding={"wanted": False}))
    assert "first_cut" not in worked.operations()


@pytest.mark.parametrize("turf_type", ["cricket square", "bowls/croquet/tennis"])
def test_fine_turf_is_first_cut_lower(lawn, turf_type):
    zone = {"turf_type": turf_type, "thatch_mm": 12, "moss_rating": 3}
    row = lawn.work(lawn.zones(zone), lawn.choices()).step("first_cut")
    # 30 mm less a third (common practice) is 20 mm: nobody lets a square grow to 60.
    assert "30 mm: down to 20 mm" in row["remark"]
    assert row["rule"] == "first_cut_fine"
    assert "fine turf" in tables.sentence(row["rule"], row)
