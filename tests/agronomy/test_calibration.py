"""Calibration against training notes, extension sheets and agency records."""

import pytest

from lawnmap.agronomy import calibration

GPA = 9.35396  # l/ha in one US gallon on the acre


def test_boom():
    # Countryco Training, "Useful tools": 24 l/min at 12 km/h over 12 m is 100 l/ha.
    assert calibration.spray_volume(24, 12, 12) == pytest.approx(100)


def test_flow():
    # A sprayer manual: 8 km/h, 12 m, 100 l/ha needs 16 l/min.
    assert calibration.flow_needed(100, 8, 12) == pytest.approx(16)


def test_knapsack_area_method():
    # NSW DPI calibration record, 28 July 2009: V litres on 10 m × 1 m is V × 1000 l/ha.
    assert calibration.caught(0.4, 1, 10) * 10_000 == pytest.approx(400)


def test_rows():
    # LSU AgCenter: 14 oz from two nozzles on 102 ft of 40 in rows in 17 s is 14 gallons an acre.
    width, length = 40 * 0.0254, 102 * 0.3048
    litres = 14 * 3.785411784 / 128
    assert calibration.caught(litres, width, length) * 10_000 / GPA == pytest.approx(14, abs=0.02)
    flow = litres / 17 * 60
    km_h = length / 17 * 3.6
    assert calibration.spray_volume(flow, km_h, width) / GPA == pytest.approx(14, abs=0.02)


def test_boomless():
    # Albany County Weed & Pest: 3.75 gal/min, 5 mph, 222 in is 20.07 (printed 20) gallons an acre.
    found = calibration.spray_volume(3.75 * 3.785411784, 5 * 1.609344, 222 * 0.0254)
    assert found / GPA == pytest.approx(20.07, abs=0.01)
    assert found == pytest.approx(187.7, abs=0.1)


def test_backpack():
    # NC State Extension: 6 ft wide, 340/6 ft long, 7.5 oz caught is 7.5 gallons an acre.
    litres = 7.5 * 3.785411784 / 128
    found = calibration.caught(litres, 6 * 0.3048, 340 / 6 * 0.3048) * 10_000
    assert found / GPA == pytest.approx(7.5, rel=2e-3)
    assert found == pytest.approx(70.2, abs=0.2)


def test_drop_spreader():
    # Consumer Reports, October 2006: 1/2 lb on 1 ft × 50 ft is 10 lb/1000 ft², 48.8 g/m².
    found = calibration.caught(0.5 * 453.59237, 0.3048, 50 * 0.3048)
    assert found == pytest.approx(48.8, abs=0.05)


def test_speed():
    # Walking pace when spraying, about 3 km/h: 100 m in 120 s.
    assert calibration.speed(120) == pytest.approx(3)


@pytest.mark.parametrize("wrong", [0, -1, float("nan")])
def test_nothing_measured(wrong):
    with pytest.raises(ValueError, match="above zero"):
        calibration.spray_volume(wrong, 3, 1)
    with pytest.raises(ValueError, match="above zero"):
        calibration.speed(wrong)
