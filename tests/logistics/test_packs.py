"""Whole packs, against every combination tried out."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.logistics import packs
from lawnmap.logistics.packs import purchase


def tried_out(amount, packs):
    """Return the least price, then the least bought, over every combination that is enough."""
    ranges = [range(math.ceil(amount / size) + 1) for size, _ in packs]
    enough = []
    for counts in itertools.product(*ranges):
        bought = sum(n * size for n, (size, _) in zip(counts, packs, strict=True))
        if bought >= amount - 1e-9:
            cost = sum(n * price for n, (_, price) in zip(counts, packs, strict=True))
            enough.append((cost, bought))
    return min(enough)


sizes = st.lists(
    st.tuples(st.integers(1, 12), st.integers(0, 30)),
    min_size=1,
    max_size=3,
    unique_by=lambda p: p[0],
)


@settings(max_examples=150, deadline=None)
@given(st.integers(1, 40), sizes)
def test_as_good_as_trying_everything(amount, packs):
    found = purchase(amount, packs)
    assert (found.cost, found.bought) == pytest.approx(tried_out(amount, packs))
    assert found.left_over == pytest.approx(found.bought - amount)


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 40), sizes)
def test_without_prices_the_least_is_left(amount, packs):
    found = purchase(amount, [(size, None) for size, _ in packs])
    assert found.bought == tried_out(amount, [(size, size) for size, _ in packs])[1]
    assert found.cost is None


def test_cheaper_to_buy_more():
    found = purchase(9, [(5, 10.0), (3, 5.0), (20, 12.0)])
    assert found.counts == (0, 0, 1)
    assert (found.cost, found.left_over) == (12.0, 11)


def test_larger_packs_first_when_all_is_equal():
    assert purchase(10, [(1, 1.0), (5, 5.0)]).counts == (0, 2)


def test_stock_is_taken_off():
    found = purchase(562.5, [(1000, None), (250, None)], stock=100)
    assert found.counts == (0, 2)
    assert found.left_over == pytest.approx(37.5)
    enough = purchase(562.5, [(1000, 8.0)], stock=600)
    assert (enough.counts, enough.cost, enough.left_over) == ((0,), 0.0, 37.5)


def test_nothing_needed():
    assert purchase(0, [(5, 1.0)], stock=3) == purchase(0, [(5, 1.0)], stock=3.0)
    assert purchase(0, [(5, 1.0)]).counts == (0,)


def test_hair_over_a_pack_is_a_pack():
    # 3 × 0.1 is not 0.3 in a computer.
    assert purchase(0.1 + 0.2, [(0.3, 1.0)]).counts == (1,)


def test_absurd_sizes_still_end():
    found = purchase(1e6, [(999.1, 1.0), (1000.3, 1.0013), (1001.7, 1.0027), (7.3, 0.0073)])
    assert found.bought >= 1e6
    # 999.1 + 2 × 1001.7 + 136,575 × 7.3 = 1,000,000, all at the best price a unit: none is better.
    assert found.proven
    assert found.left_over == pytest.approx(0, abs=1e-6)


def test_a_search_cut_short_says_so(monkeypatch):
    odd = [(999.13, 7.11), (1000.37, 7.123), (1001.71, 7.1299)]
    whole = purchase(20_000, odd)
    assert whole.proven
    assert (whole.cost, whole.bought) == pytest.approx(tried_out(20_000, odd))
    monkeypatch.setattr(packs, "MOST_TRIES", 3)
    cut = purchase(20_000, odd)
    assert not cut.proven
    assert cut.bought >= 20_000
    assert cut.cost >= whole.cost


@pytest.mark.parametrize(
    ("amount", "packs"),
    [(5, []), (5, [(0, 1.0)]), (5, [(-1, 1.0)]), (5, [(1, -1.0)]), (math.nan, [(1, 1.0)]),
     (math.inf, [(1, 1.0)]), (5, [(1, 1.0)] * 41)],
)  # fmt: skip
def test_what_cannot_be_bought(amount, packs):
    with pytest.raises(ValueError, match=r"pack|finite"):
        purchase(amount, packs)
