"""A plan says which calibrations it rests on, and when they are too old or for other water."""

import datetime as dt
from dataclasses import replace

import pytest

from lawnmap.agronomy.catching import CatchTest
from lawnmap.model import Machine
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


def test_what_a_spreader_was_found_to_put_on(lawn):
    sand = lawn.card(name="Sand", form="lawn sand", rate_printed="35 g/m²", analysis_pct=2.5)
    rake = Machine("rake", "rake")

    def said(rate, today=dt.date(2026, 9, 1)):
        own = Machine("mine", "spreader", width_m=0.5, caught=(CatchTest(DAY, "Sand", "4", rate),))
        chosen = lawn.choices(sand, own=[own, rake], applicator={"iron": "mine"})
        return doubts(lawn.work(lawn.zones(), chosen).steps, chosen, today=today)

    assert said(17.1) == ("mine put on 17.1 g/m² of Sand at setting 4 on 2026-06-01.",)
    assert said(34.2)[1] == (
        "Sand is planned in 2 runs of 17.5 g/m²: set mine for that and calibrate it again."
    )
    assert said(17.1, dt.date(2027, 6, 2))[0].endswith("366 days ago. Calibrate it again.")


def test_hours_that_rest_on_a_measured_pace_are_told(lawn):
    own = replace(machines.generic()[NAME], width_m=1.0, speed_km_h=3.1, paced=DAY)
    chosen = lawn.choices(lawn.iron, own=[own], applicator={"iron": NAME})
    steps = lawn.work(lawn.zones(), chosen).steps
    told = doubts(steps, chosen, today=dt.date(2026, 9, 1))
    assert told == (f"Hours with {NAME} are by 1 m wide at 3.1 km/h, as measured on 2026-06-01.",)
    whole = lawn.choices(lawn.iron, own=[replace(own, area_m2_h=500.0)], applicator={"iron": NAME})
    assert doubts(steps, whole, today=dt.date(2026, 9, 1)) == ()  # the card's own work rate counts
