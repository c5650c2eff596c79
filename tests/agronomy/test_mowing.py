"""No cut takes more than its share."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy.mowing import cuts, cuts_down


def test_the_third_rule():
    # A third at a cut (common practice, no source): 60 mm may go to 40 at once, to 26.7 in two.
    assert cuts_down(60, 40, 1 / 3) == (40,)
    assert len(cuts_down(60, 27, 1 / 3)) == 2
    assert len(cuts_down(60, 26, 1 / 3)) == 3


def test_a_hair_too_long_is_one_cut():
    assert cuts_down(30.000000000001, 30, 1 / 3) == (30,)


def test_short_enough_already():
    assert cuts_down(25, 30, 1 / 3) == ()
    assert cuts_down(30, 30, 1 / 3) == ()


@given(st.floats(5, 300), st.floats(5, 300), st.floats(0.05, 0.9))
def test_every_cut(height, target, share):
    heights = (height, *cuts_down(height, target, share))
    most = 1 - (1 - share) ** 1.01  # a hundredth of a cut more is forgiven
    for before, after in pairwise(heights):
        assert 0 < before - after <= before * most * (1 + 1e-6)
    assert heights[-1] == min(height, target)


@pytest.mark.parametrize(("height", "target", "share"), [(0, 20, 0.3), (60, 0, 0.3), (60, 20, 1)])
def test_cuts_that_cannot_be(height, target, share):
    with pytest.raises(ValueError, match="above zero"):
        cuts_down(height, target, share)


def test_a_third_written_short_is_a_third():
    # 30 to 20 mm takes exactly a third: one cut, though the share is written 0.333.
    assert cuts_down(30, 20, 0.333) == (20,)
    assert len(cuts_down(31, 20, 0.333)) == 2


@given(st.lists(st.floats(5, 300), min_size=1), st.floats(5, 300), st.floats(0.05, 0.9))
def test_as_many_cuts_as_it_takes_and_no_more(heights, target, share):
    """Counted one after the other, each of them taking all that it may."""
    for height, number in zip(heights, cuts(heights, target, share).tolist(), strict=True):
        assert number == len(cuts_down(height, target, share))
        left = height
        for _ in range(int(number) - 1):
            left *= 1 - share
        assert left > target or number <= 1, "one fewer would not have done"
        assert number == 0 or left * (1 - share) <= target * (1 - share) ** -0.011
