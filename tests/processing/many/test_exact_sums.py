import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.processing.many.exact_sums import cut, exact_sums

figures = st.floats(-1e12, 1e12, allow_subnormal=False)


@given(st.lists(st.tuples(st.integers(0, 3), figures), max_size=60))
def test_each_group_has_the_sum_that_fsum_gives(rows):
    groups = np.array([group for group, _ in rows], dtype=np.intp)
    found = exact_sums(cut(np.array([value for _, value in rows], float)), groups, 4)
    expected = [math.fsum(value for group, value in rows if group == each) for each in range(4)]
    assert found.tolist() == expected


def test_what_a_plain_sum_loses_is_kept():
    loses = np.array([1e16, 1.0, -1e16, 1e-9])
    assert loses.sum() != math.fsum(loses)
    assert exact_sums(cut(loses), np.zeros(4, np.intp), 1)[0] == math.fsum(loses)


def test_a_hundred_thousand_figures_in_any_order_have_one_sum():
    chance = np.random.default_rng(5)
    given_ = chance.lognormal(5, 4, 100_000)
    groups = chance.integers(0, 7, len(given_))
    order = chance.permutation(len(given_))
    first = exact_sums(cut(given_), groups, 7)
    assert (first == exact_sums(cut(given_[order]), groups[order], 7)).all()
    assert first[3] == math.fsum(given_[groups == 3])


def test_what_is_no_number_is_refused():
    with pytest.raises(ValueError, match="finite"):
        cut(np.array([1.0, np.inf]))
