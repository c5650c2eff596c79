"""Warmth against trade articles."""

import pytest

from lawnmap.agronomy import growth


def test_a_day_in_fahrenheit():
    # A golf club's blog, March 2013: 54 and 37 °F over 32 is 13.5, printed 14.
    assert float(growth.degree_days(54, 37, 32)) == 13.5


def test_200_in_celsius_is_360_in_fahrenheit():
    # Kreuser & Soldat 2009: reapply each 200 degree days (0 °C), 360 (32 °F).
    celsius = growth.degree_days([18, 24], [8, 12], 0).sum()
    fahrenheit = growth.degree_days([64.4, 75.2], [46.4, 53.6], 32).sum()
    assert float(fahrenheit / celsius) == pytest.approx(360 / 200)


def test_a_cold_day_counts_nothing():
    assert growth.degree_days([5, 12], [1, 4], 10).tolist() == [0, 0]


def test_growth_potential():
    # M. Woods, 2014: best at 20 °C for cool-season grass; spread of 5.5 from memory.
    found = growth.potential([5, 10, 15, 20], 20, 5.5)
    assert found.tolist() == pytest.approx([0.024, 0.191, 0.662, 1], abs=5e-4)
