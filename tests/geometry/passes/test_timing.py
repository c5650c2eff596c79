"""Hours from lines: the exact count of bouts and turns, worked out by hand.

20 x 50 m, 0.38 m wide, a tenth overlapped, 0.8 m/s, 6 s a turn: along 4,035.5 s, across 4,551 s.
"""

import pytest

from lawnmap.geometry.passes.timing import hours

KM_H = 0.8 * 3.6


@pytest.mark.parametrize(("bouts", "length", "seconds"), [(59, 50, 4035.5), (147, 20, 4551.0)])
def test_the_exact_count(bouts, length, seconds):
    assert hours(bouts * length, bouts - 1, KM_H, 6) * 3600 == pytest.approx(seconds)


def test_walking_between_bouts_takes_time_too():
    assert hours(100, 0, 3.6, 6, idle_m=50) * 3600 == pytest.approx(150)
