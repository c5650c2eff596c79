"""Nozzles, trays and settings."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy.catching import off_mean, setting_for, spread_width


def test_nozzles():
    # Alberta Agriculture, Agdex 606-1: about a mean of 0.75 l/min, 5 % is 0.71 to 0.79 l/min.
    assert (round(0.75 * 0.95, 2), round(0.75 * 1.05, 2)) == (0.71, 0.79)
    low, mean, high = off_mean([0.75 * 0.95, 0.75, 0.75 * 1.05])
    assert (low, mean, high) == pytest.approx((-0.05, 0, 0.05))


def test_the_width_ends_at_half_of_the_middle():
    # P. Landschoot, Penn State (28 March 2016): trays 1 ft apart; the distance between the trays
    # left and right that caught half of the middle one is the width to walk at.
    caught = [0, 2, 5, 8, 10, 8, 5, 2, 0]
    assert spread_width(caught, 0.3048, 0.5) == pytest.approx(4 * 0.3048)


def test_between_two_trays():
    assert spread_width([0, 10, 10, 10, 0], 1.0, 0.5) == pytest.approx(3.0)
    assert spread_width([4, 10, 0], 1.0, 0.5) == pytest.approx(5 / 6 + 0.5)


@given(st.lists(st.floats(0.1, 10), min_size=1, max_size=6), st.floats(0.1, 1.0))
def test_an_even_spread_is_as_wide_as_its_trays(weights, spacing):
    side = [max(weights)] * len(weights)
    caught = [0.0, *side, max(weights), *side, 0.0]
    assert spread_width(caught, spacing, 0.5) == pytest.approx((2 * len(side) + 1) * spacing)


@pytest.mark.parametrize(
    ("caught", "said"),
    [([1, 2], "odd"), ([1], "odd"), ([1, 0, 1], "nothing"), ([9, 10, 0], "far enough")],
)
def test_no_width(caught, said):
    with pytest.raises(ValueError, match=said):
        spread_width(caught, 1.0, 0.5)


def test_the_next_setting():
    assert setting_for([(4, 20.0), (8, 40.0)], 30.0) == 6
    assert setting_for([(4, 20.0), (8, 40.0), (6, 33.0)], 30.0) == pytest.approx(4 + 2 * 10 / 13)
    assert setting_for([(4, 20.0), (4, 25.0), (8, 40.0)], 25.0) == 4
    assert setting_for([(4, 20.0), (8, 40.0)], 40.0) == 8


@pytest.mark.parametrize("tried", [[], [(4, 20.0)], [(4, 20.0), (8, 40.0)], [(4, 50.0), (8, 50.0)]])
def test_nothing_is_guessed_beyond_what_was_tried(tried):
    assert setting_for(tried, 50.0) is None
