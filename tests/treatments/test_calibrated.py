"""What rows say of the catch test of their spreader."""

import datetime as dt

import numpy as np
import pytest

from lawnmap.agronomy.catching import CatchTest
from lawnmap.model import Machine
from lawnmap.treatments import calibrated, work

DAY = dt.date(2026, 7, 2)


@pytest.fixture
def settings(lawn):
    def ask(*tests, dose=35.0, product="Sand", kind="spreader"):
        caught = tuple(CatchTest(DAY, "sand", setting, rate) for setting, rate in tests)
        own = [Machine("mine", kind, caught=caught)]
        names = np.array(["mine", "other"], dtype=object)
        return calibrated.settings(names, product, dose, lawn.choices(own=own))

    return ask


def test_a_setting_that_is_right_for_half_the_rate(settings):
    """35 g/m² in two runs is 17.5 g/m² a run; 5 % off will do (University of Massachusetts)."""
    found = settings(("4", 17.1), ("8", 34.2))
    assert found.remark.tolist() == [
        ". Setting 4 gave 17.1 g/m² on 2026-07-02 by catch test: right for a half-rate run", ""
    ]  # fmt: skip
    assert found.flag.tolist() == ["", ""]


def test_one_that_is_not_says_what_to_try(settings):
    """In proportion between 2 (10 g/m²) and 8 (34.2): 2 + 6 × 7.5 ÷ 24.2 = 3.86."""
    found = settings(("2", 10.0), ("8", 34.2))
    assert found.remark[0] == ". Setting 2 gave 10 g/m² on 2026-07-02 by catch test"
    assert found.flag[0] == (
        "a half-rate run wants 17.5 g/m²: try setting 3.86, between two that were tried, and "
        "catch again"
    )
    assert "close it a little" in settings(("4", 34.2)).flag[0]
    assert "open it a little" in settings(("B", 10.0)).flag[0]


def test_the_newest_test_of_a_setting_counts(settings):
    assert "17.5 g/m²" in settings(("4", 30.0), ("4", 17.5)).remark[0]


def test_a_test_of_another_product_or_machine_says_nothing(settings):
    assert not any(settings(("4", 17.1), product="Feed").remark)
    assert not any(settings(("4", 17.1), kind="knapsack").remark)
    assert not any(settings(("4", 17.1), dose=float("nan")).remark)


def test_a_row_of_lawn_sand_says_it(lawn):
    sand = lawn.card(name="Sand", form="lawn sand", rate_printed="35 g/m²", analysis_pct=2.5)
    own = Machine("mine", "spreader", width_m=0.5, caught=(CatchTest(DAY, "Sand", "4", 34.2),))
    rake = Machine("rake", "rake")
    worked = lawn.work(
        lawn.zones(), lawn.choices(sand, own=[own, rake], applicator={"iron": "mine"})
    )
    row = worked.step("lawn_sand")
    assert row["machine"] == "mine"
    assert "Setting 4 gave 34.2 g/m² on 2026-07-02 by catch test" in row["remark"]
    assert "a half-rate run wants 17.5 g/m²: close it a little" in row["flag"]


def test_measured_width_and_speed_give_the_hours(lawn):
    """Field capacity (ASABE EP496): 3 km/h × 0.9 m × 1000 × 0.75 is 2025 m²/h."""
    own = Machine("mine", "spreader", width_m=0.9, speed_km_h=3.0, field_efficiency=0.75, paced=DAY)
    assert work.work_rate_m2_h("mine", lawn.choices(own=[own])) == pytest.approx((2025, 2025))
