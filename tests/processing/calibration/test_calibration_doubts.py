"""A plan says which calibrations it rests on, and when they are too old or for other water."""

import datetime as dt
from dataclasses import replace

import pytest

from lawnmap.processing import machines
from lawnmap.processing.calibration.calibration_doubts import doubts

NAME = "knapsack sprayer, 15 l"
DAY = dt.date(2026, 6, 1)


@pytest.fixture
def told(lawn):
    def work(*, water=0.4, day=DAY, today=dt.date(2026, 9, 1), **card):
        own = replace(machines.generic()[NAME], water_l_m2=water, calibrated=day)
        iron = lawn.card(**{"rate_printed": "", "rate_g_m2": 3.125, **card})
        chosen = lawn.choices(iron, own=[own], applicator={"iron": NAME})
        return doubts(lawn.work(lawn.zones(), chosen).steps, chosen, today=today)

    return work


def test_what_a_plan_rests_on(told):
    assert told() == (f"{NAME} was calibrated on 2026-06-01 at 0.4 l/m².",)
    assert told(day=None) == ()


def test_a_calibration_is_repeated_at_least_once_a_year(told):
    # Ministry of Agriculture and Lands, British Columbia: at least once a year.
    assert "ago" not in told(today=dt.date(2027, 6, 1))[0]
    assert told(today=dt.date(2027, 6, 2))[0].endswith("366 days ago. Calibrate it again.")


def test_a_label_that_wants_other_water(told):
    said = told(rate_printed="50 g in 10 l over 16 m²", rate_g_m2=None)
    assert said[1] == (
        "Moss iron is planned at 0.625 l/m² by its label: set the applicator for that and "
        "calibrate it again."
    )
    # 5 % off will do: University of Massachusetts, rotary spreader calibration procedures.
    assert len(told(water=0.6, rate_printed="50 g in 10 l over 16 m²", rate_g_m2=None)) == 1
    assert len(told(water=0.59, rate_printed="50 g in 10 l over 16 m²", rate_g_m2=None)) == 2
    # and so does a range that the applicator lies below
    assert "planned at 0.5 l/m²" in told(water_low_l_m2=0.5)[1]
