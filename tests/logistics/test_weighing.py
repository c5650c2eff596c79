"""Readings of scales: never above what was asked for, and never a whole step below."""

import math
from decimal import ROUND_FLOOR, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.logistics.weighing import fine_enough, weighed

steps = st.sampled_from([0.01, 0.1, 0.5, 1, 2, 5, 10, 25, 50, 100])


@given(st.floats(0, 1e6), steps)
def test_down_by_less_than_a_step(amount, step):
    found = weighed(amount, step)
    assert found.amount <= amount + 1e-9 * max(step, amount)
    assert amount - found.amount < step * (1 + 1e-6)
    assert found.amount / step == pytest.approx(round(found.amount / step))
    assert 0 <= found.short_share <= 1


@given(st.integers(0, 10**7), st.sampled_from(["0.01", "0.1", "0.5", "1", "5"]))
def test_as_exact_decimals_have_it(hundredths, step):
    # Python's decimal arithmetic, which has no binary rounding.
    amount, unit = Decimal(hundredths) / 100, Decimal(step)
    exact = (amount / unit).to_integral_value(ROUND_FLOOR) * unit
    assert weighed(float(amount), float(unit)).amount == float(exact)


def test_by_hand():
    assert weighed(12.5, 1) == (12.0, pytest.approx(0.04))
    assert weighed(0.3, 0.1).amount == 0.3
    assert weighed(3, 5) == (0.0, 1.0)
    assert weighed(0, 5) == (0.0, 0.0)


@given(st.floats(0.1, 1e5), st.floats(0.01, 0.5))
def test_fine_enough_scales_never_fall_short(amount, share):
    step = fine_enough(amount, share)
    assert weighed(amount, step).short_share <= share + 1e-9
    assert f"{step:.0e}"[0] in "125"  # as scales are made
    assert amount * share < 2.6 * step  # and no finer than it need be


@pytest.mark.parametrize(
    ("amount", "step"), [(1, 0), (1, -1), (-1, 1), (math.nan, 1), (1, math.inf)]
)
def test_what_no_scales_can(amount, step):
    with pytest.raises(ValueError, match="resolution"):
        weighed(amount, step)
