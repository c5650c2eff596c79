"""Thatch limits by use, depth, and a number of passes that is a most."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy import thatch

LAWN = {"act_mm": 13, "staged_mm": 19, "too_deep_mm": 25}
FINE = {"act_mm": 5, "staged_mm": 10, "too_deep_mm": 15}


def test_lawn():
    # 12.7 mm still does good (Univ. of Minnesota, Nebraska); 19 mm is a problem (Colorado).
    found = thatch.state([5, 12.7, 13, 19, 25, 40, np.nan], **LAWN).tolist()
    assert found.pop() == thatch.UNKNOWN
    told = [thatch.STATES[each] for each in found]
    assert told == ["leave", "leave", "scarify", "staged", "too deep", "too deep"]


def test_fine_turf():
    # The Groundsman, June 2014: hold about 5 mm; over 15 mm do not scarify.
    assert thatch.state([4, 6, 12, 16], **FINE).tolist() == [0, 1, 2, 3]


def test_each_zone_by_its_own_limits():
    limits = {name: [LAWN[name], FINE[name]] for name in LAWN}
    assert [thatch.STATES[each] for each in thatch.state(15, **limits)] == ["scarify", "too deep"]


def test_limits_rise():
    with pytest.raises(ValueError, match="rise"):
        thatch.state([5], act_mm=13, staged_mm=10, too_deep_mm=25)


def test_weak_grass_and_wires_hold_the_blades_up():
    low, high = thatch.depth_range(2, 5, weak=[False, True, False], hidden_mm=[np.nan, np.nan, 6])
    assert low.tolist() == [2, 2, 2]
    assert high.tolist() == [5, 2, 3]
    _, wire_on_top = thatch.depth_range(2, 5, hidden_mm=0.0)
    assert float(wire_on_top) == 0


def test_passes():
    too_deep = [False, False, True, False, True]
    weak = [False, False, False, True, True]
    most = thatch.passes([0, 2, 0, 2, 1], [2, 1, 2, 2, 2], too_deep=too_deep, weak=weak)
    assert most.tolist() == [2, 2, 0, 1, 1]


@given(st.floats(0, 200), st.floats(0, 200))
def test_thicker_never_calls_for_less(one, other):
    order = [int(thatch.state(max(0, mm), **LAWN)) for mm in sorted([one, other])]
    assert order == sorted(order)


def test_sand_for_the_slots_of_deep_scarifying():
    # By hand: a slot 3 mm wide and 40 mm deep every 40 mm is 3/40 of the ground, 40 mm deep.
    assert thatch.slots_l_m2(40, 3, 40) == pytest.approx(3.0)
    with pytest.raises(ValueError, match="no wider"):
        thatch.slots_l_m2(40, 50, 40)
