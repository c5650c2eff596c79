"""Warmth; what others printed is in tests/published."""

from lawnmap.agronomy import growth


def test_a_cold_day_counts_nothing():
    assert growth.degree_days([5, 12], [1, 4], 10).tolist() == [0, 0]
