"""Mowing down before the blades."""

import pandas as pd
import pytest

from lawnmap.days import Calendar
from lawnmap.model import Machine
from lawnmap.processing import machines
from lawnmap.processing.days.dating import dating
from lawnmap.reference import tables

NO_SEED = {"seeding": {"wanted": False}}


def mown(worked, zone_id="a"):
    rows = worked.steps
    return rows[(rows["operation"] == "mowing") & (rows["zone_id"] == zone_id)]


def test_no_cut_takes_more_than_a_third(lawn):
    rows = mown(lawn.work(lawn.zones({"cut_height_mm": 60}), lawn.choices(**NO_SEED)))
    # 60 → 42.4 → 30 mm: each cut takes 29 %, under a third (common practice).
    assert rows["remark"].tolist() == [
        "cut 1 of 2: at 42 mm; box on", "cut 2 of 2: at 30 mm; box on",
    ]  # fmt: skip
    assert set(rows["rule"]) == {"mow_down"}
    assert set(rows["passes"]) == {1}


def test_lower_where_seed_follows(lawn):
    """S5: 20 to 30 mm before blades; the low end lets light at the seedlings."""
    rows = mown(lawn.work(lawn.zones({"cut_height_mm": 60}), lawn.choices()))
    # 60 → 41.6 → 28.8 → 20 mm: each cut takes 31 %.
    assert [each.split("at ")[1] for each in rows["remark"]] == [
        "42 mm; box on", "29 mm; box on", "20 mm; box on",
    ]  # fmt: skip
    assert set(rows["rule"]) == {"mow_down_seed"}


def test_cuts_wait_for_each_other(lawn):
    rows = mown(lawn.work(lawn.zones({"cut_height_mm": 60}), lawn.choices()))
    days = tables.intervals()["mowing", "mowing"].usual_days
    assert days >= 2
    assert rows["wait_days"].tolist()[1:] == [days, days]


def test_each_cut_has_its_own_day(lawn):
    choices = lawn.choices(first_day=lawn.today)
    worked = lawn.work(lawn.zones({"cut_height_mm": 60}), choices)
    dated, _ = dating(worked.steps, choices, Calendar())
    days = pd.to_datetime(dated.loc[dated["operation"] == "mowing", "day"])
    # Three cuts: their days are true, and apart.
    assert len(days) == 3
    assert (days.diff().dropna() >= pd.Timedelta(days=2)).all()


def test_zones_of_one_lawn_are_mown_each_for_itself(lawn):
    zones = lawn.zones({"cut_height_mm": 60}, {"cut_height_mm": 60})
    unsown = {"b": {"seeding": {"wanted": False}}}
    worked = lawn.work(zones, lawn.choices(zones=unsown))
    assert [len(mown(worked, zone)) for zone in "ab"] == [3, 2]


def test_short_grass_is_not_mown(lawn):
    short = lawn.zones({"cut_height_mm": 25})
    assert mown(lawn.work(short, lawn.choices(**NO_SEED))).empty
    assert mown(lawn.work(short, lawn.choices()))["remark"].tolist() == ["cut at 20 mm; box on"]


def test_fine_turf_is_not_let_grow_to_a_lawn(lawn):
    """A green or square is cut at 5 to 12 mm (common practice): 20 mm would be twice too long."""
    green = {"turf_type": "bowls/croquet/tennis", "thatch_mm": 12}
    short, long = (lawn.zones({**green, "cut_height_mm": each}) for each in (7, 11))
    assert mown(lawn.work(short, lawn.choices())).empty
    rows = mown(lawn.work(long, lawn.choices()))
    # 11 → 8 mm takes 27 %, under a third.
    assert rows["remark"].tolist() == ["cut at 8 mm; box on; with a cylinder mower"]
    assert rows["rule"].tolist() == ["mow_down_fine"]
    unknown = mown(lawn.work(lawn.zones(green), lawn.choices())).iloc[0]
    assert (unknown["rule"], "down to 8 mm" in unknown["remark"]) == ("mow_unknown_fine", True)


@pytest.mark.parametrize(("choices", "rule"), [(NO_SEED, "mow_unknown"), ({}, "mow_unknown_seed")])
def test_unknown_height_is_flagged(lawn, choices, rule):
    row = lawn.work(lawn.zones(), lawn.choices(**choices)).step("mowing")
    assert (row["flag"], row["rule"]) == ("height of the grass not known", rule)
    assert row["hours"] == pytest.approx(180 / (1000 * 0.46 * 3.5 * 0.75))


def test_a_bank_too_steep_for_the_mower_is_flagged(lawn):
    """15° is the most across a slope for a walk-behind mower (a mower manual's slope page)."""
    bank = {"cut_height_mm": 30, "slope_deg": 18.0}
    rows = lawn.work(lawn.zones(bank, {**bank, "slope_deg": 14.0}), lawn.choices()).steps
    cut = rows[rows["operation"].isin(["mowing", "first_cut"])].groupby("zone_id")["flag"]
    assert (
        cut.agg(list)["a"]
        == ["18° steep, and 15° is the most for rotary mower: use what is made for banks"] * 2
    )
    assert cut.agg(list)["b"] == ["", ""]


def test_an_unknown_height_on_a_bank_is_flagged_for_both(lawn):
    row = lawn.work(lawn.zones({"slope_deg": 18.0}), lawn.choices()).step("mowing")
    assert row["flag"].startswith("height of the grass not known; 18° steep")


def test_a_mower_made_for_banks_is_not_flagged(lawn):
    mower = Machine("bank mower", kind="mower", width_m=0.5, most_slope_deg=30.0)
    own = [machines.generic()["scarifying rake"], mower]
    bank = lawn.zones({"cut_height_mm": 30, "slope_deg": 18.0})
    assert lawn.work(bank, lawn.choices(own=own)).step("mowing")["flag"] == ""
