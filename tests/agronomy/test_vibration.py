"""Vibration against the safety regulator's ready reckoner."""

import pytest

from lawnmap.agronomy import vibration


@pytest.mark.parametrize(
    ("acceleration", "hours", "points"),
    # HSE, hand-arm vibration exposure points ready reckoner: 5 m/s² for 3 h is 150 points, for 8 h
    # the limit value of 400; 2.5 m/s² for 8 h is the action value of 100.
    [(5, 3, 150), (5, 8, 400), (2.5, 8, 100), (5, 2, 100), (10, 2, 400)],
)
def test_points(acceleration, hours, points):
    assert float(vibration.points(acceleration, hours)) == points
    assert float(vibration.hours_until(acceleration, points)) == pytest.approx(hours)


def test_points_of_two_machines_add_up():
    assert float(vibration.hours_until(5, 100, already=50)) == pytest.approx(1)
    assert float(vibration.hours_until(5, 100, already=150)) == 0


def test_a_machine_that_does_not_shake():
    with pytest.raises(ValueError, match="machine"):
        vibration.hours_until(0, 100)
