"""Least squares of taped networks: exact figures come back, errors are found and not invented."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lawnmap.geometry.measures import ALONG, BEARING, DISTANCE, LEFT, Measures
from lawnmap.geometry.network import Loose, adjust, judge
from lawnmap.geometry.uncertainty import area_sigmas

QUAD = np.array([[0.0, 0.0], [20.0, 0.0], [22.0, 15.0], [-1.0, 14.0]])


def distances(xy, pairs, sigma=0.02):
    ends = np.array([[i, j, i] for i, j in pairs])
    value = np.array([math.dist(xy[i], xy[j]) for i, j in pairs])
    return Measures(np.full(len(pairs), DISTANCE), ends, value, np.full(len(pairs), sigma))


def held(n, bearings=False):
    held = np.zeros((n, 2), dtype=bool)
    held[0] = True
    held[1, 1] = not bearings
    return held


def all_pairs(n):
    return [(i, j) for i in range(n) for j in range(i + 1, n)]


def with_error(measures, which, error):
    value = measures.value.copy()
    value[which] += error
    return Measures(measures.kind, measures.ends, value, measures.sigma)


def test_five_points_of_a_published_trilateration_and_their_sides():
    # A course note on trilateration: base 90, two ties to each of five points, and the real
    # distances from C to the others. The signs are those under which these fit best.
    xy = np.array(
        [[0, 0], [90, 0], [35.667, 53.140], [22.133, -17.150], [103.644, 60.480],
         [55.667, -39.054], [-26.200, 46.071]]
    )  # fmt: skip
    pairs = [(0, 1), *[(base, p) for p in range(2, 7) for base in (0, 1)]]
    lengths = [90, 64, 76, 28, 70, 120, 62, 68, 52, 53, 125]
    checks = [((2, 3), 74), ((2, 4), 68), ((2, 5), 93), ((2, 6), 64)]
    measures = distances(xy, [*pairs, *[pair for pair, _ in checks]], sigma=1.0)
    values = np.array([*lengths, *[length for _, length in checks]], dtype=float)
    found = adjust(xy, Measures(measures.kind, measures.ends, values, measures.sigma), held(7))
    assert found.spare == 4
    # Before adjustment the four differ by −2.4, 0.4, 1.3 and −1.7 (worked out); after, by less.
    assert np.abs(found.residual).max() < 1.7
    assert found.agrees


def test_with_nothing_to_spare_nothing_is_told():
    found = adjust(QUAD + 0.3 * ~held(4), distances(QUAD, all_pairs(4)[:5]), held(4))
    assert found.xy == pytest.approx(QUAD, abs=1e-9)
    assert (found.spare, found.s0, found.suspect) == (0, 1.0, None)
    assert found.errors == pytest.approx(np.zeros(5))


def test_redundancy_numbers_sum_to_what_is_spare():
    # Baarda: the trace of the redundancy matrix.
    xy = np.vstack([QUAD, [[9.0, 7.0]]])
    found = adjust(xy, distances(xy, all_pairs(5)), held(5))
    assert found.spare == 10 - 7
    assert found.redundancy.sum() == pytest.approx(3)


def test_errors_are_named_only_when_the_others_can_tell():
    xy = np.vstack([QUAD, [[9.0, 7.0], [15.0, 4.0]]])
    measures = distances(xy, all_pairs(6))
    chance = np.random.default_rng(4)
    named = []
    for which in range(len(measures.value)):
        for error in (-0.5, 0.5):
            noisy = with_error(measures, slice(None), chance.normal(0, 0.02, 15))
            found = adjust(xy, with_error(noisy, which, error), held(6))
            named.append(None if found.suspect is None else found.suspect == which)
            assert which in found.alike
    assert False not in named
    assert named.count(True) > len(named) / 2
    one_spare = distances(QUAD, all_pairs(4))
    assert adjust(QUAD, with_error(one_spare, 2, 1.0), held(4)).suspect is None


def test_the_error_of_the_wrong_one_comes_out():
    xy = np.vstack([QUAD, [[9.0, 7.0], [15.0, 4.0]]])
    measures = with_error(distances(xy, all_pairs(6)), 1, 0.60)
    found = adjust(xy, measures, held(6))
    assert found.suspect == 1
    assert found.errors[1] == pytest.approx(0.60, abs=0.01)
    assert not found.agrees
    assert found.inflation == found.s0 > 1


def test_careful_measures_seldom_seem_wrong():
    # 1 in 100 by the test's own level; 3 in 100 is beyond three standard errors of 1,000 trials.
    xy = np.vstack([QUAD, [[9.0, 7.0]]])
    measures = distances(xy, all_pairs(5))
    chance = np.random.default_rng(5)
    trials = [
        adjust(xy, with_error(measures, slice(None), chance.normal(0, 0.02, 10)), held(5))
        for _ in range(1000)
    ]
    assert np.mean([not each.agrees for each in trials]) < 0.03
    assert np.mean([each.suspect is not None for each in trials]) < 0.02
    # The covariance is that of the places found.
    places = np.array([each.xy.ravel() for each in trials])
    free = ~held(5).ravel()
    assert places.std(axis=0)[free] == pytest.approx(
        np.sqrt(np.diag(trials[0].covariance))[free], rel=0.1
    )


def test_corner_sigma_gives_the_area_its_error():
    shapely = pytest.importorskip("shapely")
    measures = distances(QUAD, all_pairs(4))
    chance = np.random.default_rng(6)
    areas, sigma = [], 0.0
    for _ in range(1000):
        found = adjust(QUAD, with_error(measures, slice(None), chance.normal(0, 0.02, 6)), held(4))
        areas.append(shapely.Polygon(found.xy).area)
        sigma = found.corner_sigma(np.arange(4)) / found.inflation
    degrees = shapely.Polygon(QUAD / 111_200)  # about the equator: a degree is about 111.2 km
    said = area_sigmas(np.array([degrees], dtype=object), np.array([sigma]))[0]
    assert np.std(areas) == pytest.approx(said, rel=0.1)


@pytest.mark.parametrize(
    ("pairs", "loose"), [([(0, 1), (1, 2), (0, 2), (0, 3)], 3), ([(0, 1), (1, 2), (0, 2)], 3)]
)
def test_a_point_that_can_move_is_named(pairs, loose):
    with pytest.raises(Loose) as caught:
        adjust(QUAD, distances(QUAD, pairs), held(4))
    assert caught.value.points[0] == loose
    with pytest.raises(Loose):
        judge(QUAD, distances(QUAD, pairs), held(4))


def test_offsets_and_bearings_join_in():
    xy = np.array([[0.0, 0.0], [10.0, 10.0], [4.0, 9.0]])
    kinds = np.array([DISTANCE, BEARING, ALONG, LEFT])
    made = Measures(kinds, np.array([[0, 1, 2]] * 4), np.zeros(4), np.array([0.02] * 4))
    measures = Measures(made.kind, made.ends, made.values(xy), made.sigma)
    start = xy + np.array([[0, 0], [0.5, -0.8], [1.0, 1.0]])
    found = adjust(start, measures, held(3, bearings=True))
    assert found.xy == pytest.approx(xy, abs=1e-9)


corner = st.tuples(st.floats(0, 60), st.floats(0, 60))


@settings(max_examples=60, deadline=None)
@given(st.lists(corner, min_size=4, max_size=8), st.integers(0, 2**32 - 1))
def test_exact_measures_come_back(corners, seed):
    xy = np.array(corners)
    xy -= xy[0]
    gaps = np.linalg.norm(xy[:, None] - xy[None], axis=2)[np.triu_indices(len(xy), 1)]
    assume(gaps.min() > 2)
    turn = math.atan2(xy[1, 1], xy[1, 0])
    xy = xy @ np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    start = xy + np.random.default_rng(seed).normal(0, 0.1, xy.shape) * ~held(len(xy))
    start[1, 1] = 0
    xy[1, 1] = 0
    measures = distances(xy, all_pairs(len(xy)))
    try:
        found = adjust(start, measures, held(len(xy)))
    except Loose:
        # All in one line: nothing holds them across it.
        assert np.abs(xy[:, 1]).max() < 1
        return
    assume(np.abs(xy[:, 1]).max() > 1)
    assert found.chi2 < 1e-6
