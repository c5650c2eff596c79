"""Bands are half-open, and a class stays a class."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy import ratings

MOSS = [(0, 0), (0, 5), (5, 25), (25, 50), (50, 75), (75, 100)]
THATCH = [(0, 6), (6, 13), (13, 19), (19, 25), (25, np.inf)]


@pytest.mark.parametrize(
    ("cover", "expected"),
    [(0, 0), (0.1, 1), (4.99, 1), (5, 2), (25, 3), (49.9, 3), (50, 4), (75, 5), (100, 5)],
)
def test_moss_classes(cover, expected):
    # Cover classes after Braun-Blanquet (standard ecology handbooks, from memory).
    assert float(ratings.rating(cover, MOSS)) == expected


@pytest.mark.parametrize(
    ("depth", "expected"), [(0, 0), (5.9, 0), (6, 1), (13, 2), (19, 3), (40, 4)]
)
def test_thatch_classes(depth, expected):
    assert float(ratings.rating(depth, THATCH)) == expected


def test_nothing_measured_is_no_class():
    assert np.isnan(ratings.rating([np.nan], MOSS)[0])


def test_a_class_is_a_band():
    low, high = ratings.band([0, 3, np.nan], MOSS)
    assert low.tolist()[:2] == [0, 25]
    assert high.tolist()[:2] == [0, 50]
    assert np.isnan(low[2])
    assert np.isnan(high[2])


@pytest.mark.parametrize("wrong", [-1, 6, 2.5])
def test_no_such_class(wrong):
    with pytest.raises(ValueError, match="from 0 to 5"):
        ratings.band([wrong], MOSS)


def test_a_measurement_beats_a_class():
    low, high = ratings.assessed([60, np.nan, np.nan], [1, 1, np.nan], MOSS)
    assert (low[0], high[0]) == (60, 60)
    assert (low[1], high[1]) == (0, 5)
    assert np.isnan(low[2])


@given(st.floats(0, 100))
def test_a_value_lies_in_its_own_band(cover):
    low, high = ratings.band(ratings.rating(cover, MOSS), MOSS)
    assert low <= cover <= high
