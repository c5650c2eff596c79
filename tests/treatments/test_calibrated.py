"""A row names the calibration that its water rests on, and no other."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from lawnmap.processing import machines
from lawnmap.treatments.calibrated import remarks

NAME = "knapsack sprayer, 15 l"


@pytest.mark.parametrize(
    ("water", "day", "wanted"),
    [
        (0.05, dt.date(2026, 7, 1), ". Calibrated on 2026-07-01: 0.05 l/m²"),
        (0.1, dt.date(2026, 7, 1), ""),
        (0.05, None, ""),
        (np.nan, dt.date(2026, 7, 1), ""),
    ],
)
def test_a_row(lawn, water, day, wanted):
    own = replace(machines.generic()[NAME], water_l_m2=0.05, calibrated=day)
    found = remarks(np.array([NAME, ""], dtype=object), np.full(2, water), lawn.choices(own=[own]))
    assert list(found) == [wanted, ""]


def test_it_stands_in_the_step(lawn):
    own = replace(machines.generic()[NAME], water_l_m2=0.05, calibrated=dt.date(2026, 7, 1))
    iron = lawn.card(rate_printed="", rate_g_m2=3.125)
    row = lawn.work(lawn.zones(), lawn.choices(iron, own=[own], applicator={"iron": NAME})).step(
        "iron_soluble"
    )
    assert row["water_l"] == pytest.approx(180 * 0.05)
    assert row["remark"] == "3.125 g on each m². Calibrated on 2026-07-01: 0.05 l/m²"
