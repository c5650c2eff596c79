"""Seed on the ground; what others printed of pure live seed is in tests/published."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy import seeding


def test_a_lawn():
    # 250 m² at 25 g/m² of pure live seed, purity 98 %, germination 85 %.
    kilograms = seeding.bulk(250 * 25, seeding.pure_live_seed(98, 85)) / 1000
    assert float(kilograms) == pytest.approx(7.503, abs=5e-4)


def test_seed_for_the_sward_after_the_blades():
    low, high = seeding.seed_needed(100, 40, 50, bare_g_m2=30, thin_g_m2=15)
    assert (float(low), float(high)) == (2100, 2250)


@given(st.floats(0, 100), st.floats(0, 100), st.floats(1, 50), st.floats(0.1, 1))
def test_seed_stays_between_the_two_rates(one, other, rate, share):
    low, high = seeding.seed_needed(
        10, min(one, other), max(one, other), bare_g_m2=rate, thin_g_m2=rate * share
    )
    assert 10 * rate * share * (1 - 1e-9) <= low <= high <= 10 * rate * (1 + 1e-9)


@pytest.mark.parametrize(("purity", "germination"), [(0, 80), (80, 0), (101, 80), (80, 120)])
def test_a_bag_that_cannot_be(purity, germination):
    with pytest.raises(ValueError, match="at most 100"):
        seeding.pure_live_seed(purity, germination)


def test_a_share_that_cannot_be():
    with pytest.raises(ValueError, match="at most 1"):
        seeding.bulk(100, 1.2)
