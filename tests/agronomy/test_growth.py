"""Warmth; what others printed is in tests/published."""

import pytest

from lawnmap.agronomy import growth


def test_a_cold_day_counts_nothing():
    assert growth.degree_days([5, 12], [1, 4], 10).tolist() == [0, 0]


def test_growth_potential():
    # M. Woods, 2014: best at 20 °C for cool-season grass; spread of 5.5 from memory.
    found = growth.potential([5, 10, 15, 20], 20, 5.5)
    assert found.tolist() == pytest.approx([0.024, 0.191, 0.662, 1], abs=5e-4)
