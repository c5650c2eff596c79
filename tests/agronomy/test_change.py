"""Differences between surveys, against printed examples."""

import math
import random
from statistics import fmean, stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy.change import framed_change, mean_change, patchiness, share_change
from lawnmap.agronomy.sampling import wilson

# R. G. Newcombe, Statistics in Medicine 17 (1998), 873-890, table II, method 10 (from memory).
PRINTED = [
    ((56, 70), (48, 80), 0.0524, 0.3339),
    ((9, 10), (3, 10), 0.1705, 0.8090),
    ((6, 7), (2, 7), 0.0582, 0.8062),
    ((5, 56), (0, 29), -0.0381, 0.1926),
    ((0, 10), (0, 20), -0.1611, 0.2775),
    ((0, 10), (0, 10), -0.2775, 0.2775),
    ((10, 10), (0, 20), 0.6791, 1.0000),
    ((10, 10), (0, 10), 0.6075, 1.0000),
]
counts = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@pytest.mark.parametrize(("one", "other", "low", "high"), PRINTED)
def test_shares(one, other, low, high):
    found = share_change(other, one)
    assert (found.low, found.high) == pytest.approx((low, high), abs=6e-5)
    assert found.by == pytest.approx(one[0] / one[1] - other[0] / other[1])


@given(counts, counts)
def test_there_and_back(before, after):
    there, back = share_change(before, after), share_change(after, before)
    assert (there.low, there.high) == pytest.approx((-back.high, -back.low))
    assert -1 - 1e-12 <= there.low <= there.by <= there.high <= 1 + 1e-12


def test_nothing_changed_is_never_clear():
    assert not share_change((30, 100), (30, 100)).clear
    assert not mean_change([3, 4, 5], [3, 4, 5]).clear


def numbers(count, mean, spread):
    """Return `count` numbers with just that mean and standard deviation."""
    drawn = random.Random(7).choices(range(100), k=count)
    middle, width = fmean(drawn), stdev(drawn)
    return [mean + spread * (each - middle) / width for each in drawn]


def test_means():
    # NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3, AUTO83B.DAT (from memory): 249 US
    # cars 20.14458 ± 6.41470 mpg, 79 Japanese 30.48101 ± 6.10771; without equal variances
    # t = -12.94627 at 136.8750 degrees of freedom; t(0.975, 136) = 1.9776.
    found = mean_change(numbers(249, 20.14458, 6.41470), numbers(79, 30.48101, 6.10771))
    assert found.by == pytest.approx(10.33643, abs=1e-5)
    half = 10.33643 / 12.94627 * 1.97756
    assert found.high - found.by == pytest.approx(half, abs=1e-4)
    assert found.clear


def test_means_by_hand():
    # Variances 1 and 4, four values each: by hand the degrees of freedom are
    # (1/4 + 1)² / ((1/4)²/3 + 1²/3) = 4.41, rounded down to 4; t(0.975, 4) = 2.776 in any table.
    one, other = numbers(4, 5.0, 1.0), numbers(4, 1.0, 2.0)
    found = mean_change(one, other)
    assert found.high - found.low == pytest.approx(2 * 2.7764 * math.sqrt(1.25), abs=1e-3)


def test_no_spread_at_all():
    assert mean_change([4.0, 4.0], [3.0, 3.0]) == (-1.0, -1.0, -1.0)
    with pytest.raises(ValueError, match="two samples"):
        mean_change([4.0], [3.0, 3.0])


def test_points_of_one_frame_are_alike():
    even = framed_change([(40, 100)] * 4, [(30, 100)] * 4)
    patchy = framed_change([(80, 100), (5, 100), (70, 100), (5, 100)],
                           [(75, 100), (0, 100), (40, 100), (5, 100)])  # fmt: skip
    assert even.by == patchy.by == pytest.approx(-0.1)
    assert even.clear
    assert even == pytest.approx(share_change((160, 400), (120, 400)))
    assert not patchy.clear
    assert patchy.low >= -1


def test_patchiness_by_hand():
    # 40 and 60 of 100 about one half: (10² + 10²) / 25 over one degree of freedom.
    assert patchiness([(40, 100), (60, 100)]) == pytest.approx(8)
    # and a second survey of two equal frames adds a degree of freedom and no squares
    assert patchiness([(40, 100), (60, 100)], [(30, 100)] * 2) == pytest.approx(4)
    assert patchiness([(0, 50), (0, 50)]) == 0


def test_the_interval_of_two_frames_each_by_hand():
    # X² = 8 + 8 over 2 degrees of freedom: 8; t(0.975, 2) = 4.303; the variance of each share of
    # 100 and 100 points at one half is 0.25 / 200.
    found = framed_change([(40, 100), (60, 100)], [(60, 100), (40, 100)])
    assert found.high == pytest.approx(
        min(4.3027 * math.sqrt(8 * 2 * 0.25 / 200), 0.5686), abs=1e-3
    )


def test_no_more_goes_than_there_was():
    found = framed_change([(2, 50), (19, 50)], [(2, 50), (13, 50)])
    assert found.low == pytest.approx(-wilson(21, 100)[1])
    assert found.high == pytest.approx(wilson(15, 100)[1])


def test_few_frames_that_agree_tell_a_large_change():
    assert framed_change([(24, 50), (20, 50)], [(10, 50), (8, 50), (9, 50), (12, 50)]).clear


@pytest.mark.parametrize("share", [0.4, 0.25])
def test_how_often_the_interval_holds_the_truth(share):
    # 95 % is what is promised; patchy ground: the share of a frame of 25 points varies by 0.11.
    draw = random.Random(11)

    def frames(mean):
        shares = [draw.betavariate(20 * mean, 20 * (1 - mean)) for _ in range(6)]
        return [(sum(draw.random() < each for _ in range(25)), 25) for each in shares]

    held = 0
    for _ in range(400):
        found = framed_change(frames(0.4), frames(share))
        held += found.low <= share - 0.4 <= found.high
    assert 0.92 <= held / 400 <= 0.99


def test_one_frame_has_no_spread_to_go_by():
    assert framed_change([(60, 100)], [(20, 100), (22, 100)]) == share_change((60, 100), (42, 200))


@given(st.lists(counts, min_size=1, max_size=5), st.lists(counts, min_size=1, max_size=5))
def test_frames_only_ever_widen(before, after):
    pooled = share_change(*((sum(h for h, _ in each), sum(n for _, n in each))
                            for each in (before, after)))  # fmt: skip
    found = framed_change(before, after)
    assert found.by == pooled.by
    assert found.low <= pooled.low + 1e-12
    assert found.high >= pooled.high - 1e-12
