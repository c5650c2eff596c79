"""Calibration by two ways; what others printed is in tests/published."""

import pytest

from lawnmap.agronomy import calibration

GPA = 9.35396  # l/ha in one US gallon on the acre


def test_rows():
    # LSU AgCenter: 14 oz from two nozzles on 102 ft of 40 in rows in 17 s is 14 gallons an acre.
    width, length = 40 * 0.0254, 102 * 0.3048
    litres = 14 * 3.785411784 / 128
    assert calibration.caught(litres, width, length) * 10_000 / GPA == pytest.approx(14, abs=0.02)
    flow = litres / 17 * 60
    km_h = length / 17 * 3.6
    assert calibration.spray_volume(flow, km_h, width) / GPA == pytest.approx(14, abs=0.02)


def test_speed():
    # Walking pace when spraying, about 3 km/h: 100 m in 120 s.
    assert calibration.speed(120) == pytest.approx(3)


@pytest.mark.parametrize("wrong", [0, -1, float("nan")])
def test_nothing_measured(wrong):
    with pytest.raises(ValueError, match="above zero"):
        calibration.spray_volume(wrong, 3, 1)
    with pytest.raises(ValueError, match="above zero"):
        calibration.speed(wrong)
