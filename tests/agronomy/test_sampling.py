"""Intervals and sample sizes against published tables and worked examples."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.agronomy import sampling


@pytest.mark.parametrize(
    ("hits", "points", "low", "high"),
    # Worked by hand; what Newcombe printed is in tests/published.
    [
        (7, 20, 0.1812, 0.5671),
        (0, 10, 0.0, 0.2775),
        (10, 10, 0.7225, 1.0),
        (84, 85, 0.9363, 0.9979),
    ],
)
def test_wilson(hits, points, low, high):
    assert sampling.wilson(hits, points) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(("hits", "points"), [(1, 0), (3, 2), (-1, 5)])
def test_counts_that_cannot_be(hits, points):
    with pytest.raises(ValueError, match="points"):
        sampling.wilson(hits, points)


@pytest.mark.parametrize(
    ("freedom", "t"),
    # Many degrees of freedom, as larger statistical tables go; the small ones are in
    # tests/published.
    [(120, 1.980), (1000, 1.962)],
)
def test_student(freedom, t):
    assert sampling.student_quantile(0.95, freedom) == pytest.approx(t, abs=6e-4)


def test_student_at_99_percent():
    # The same tables: 9.925 and 2.787.
    assert sampling.student_quantile(0.99, 2) == pytest.approx(9.925, abs=6e-4)
    assert sampling.student_quantile(0.99, 25) == pytest.approx(2.787, abs=6e-4)


def test_normal_quantile():
    assert sampling.normal_quantile(0.95) == pytest.approx(1.959964, abs=1e-6)


@pytest.mark.parametrize(
    ("spread", "margin", "number"),
    [
        (30, 10, 38),  # n = (t s / d)² swings 38, 37, 38, 37 for ever here
        (4.2, 2, 20),  # 17 by z, 20 when t is carried through
        (5, 2, 27),  # 24.01 by z
        (0, 1, 2),
    ],
)
def test_samples_for_mean(spread, margin, number):
    assert sampling.samples_for_mean(spread, margin) == number


def test_nine_cores_by_the_normal_formula():
    # Textbook (1.96 s / E)²: s 3 mm, E 2 mm is 8.6, so 9 cores; with t it is 12.
    assert (sampling.normal_quantile(0.95) * 3 / 2) ** 2 == pytest.approx(8.6, abs=0.05)
    assert 9 <= sampling.samples_for_mean(3, 2) <= 12


@settings(deadline=None)
@given(st.floats(0.1, 20), st.floats(1, 20))
def test_the_fewest_samples_that_do(spread, margin):
    number = sampling.samples_for_mean(spread, margin)

    def half(count):
        return sampling.student_quantile(0.95, count - 1) * spread / count**0.5

    assert half(number) <= margin * (1 + 1e-9)
    assert number == 2 or half(number - 1) > margin * (1 - 1e-9)


def test_samples_for_share():
    # ± 5 points at worst is 384.16, so 385; out of 200 it is 131.75, so 132.
    assert sampling.samples_for_share(0.05) == 385
    assert sampling.samples_for_share(0.05, population=200) == 132


def test_what_three_cores_can_say():
    # t for 2 degrees of freedom is 4.303: 14, 16, 18 mm is 16 ± 4.97.
    mean, low, high = sampling.mean_interval([14, 16, 18])
    assert (mean, low, high) == pytest.approx((16, 16 - 4.968, 16 + 4.968), abs=2e-3)


def test_one_core_has_no_spread():
    with pytest.raises(ValueError, match="two samples"):
        sampling.mean_interval([12.0])
    with pytest.raises(ValueError, match="margin"):
        sampling.samples_for_mean(3, 0)
