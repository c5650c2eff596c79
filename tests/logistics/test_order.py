"""The walk round places against brute force, and against what any walk must hold to."""

import itertools
import tracemalloc

import numpy as np
import pytest

from lawnmap.logistics import order
from lawnmap.logistics.order import length, shortest_walk, walk_round


def garden(seed, count):
    """Distances between a gate and invented places, as the crow flies."""
    places = np.random.default_rng(seed).uniform(0, 100, (count + 1, 2))
    return np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))


@pytest.mark.parametrize("seed", range(12))
def test_no_other_order_is_shorter(seed):
    far = garden(seed, 1 + seed % 7)
    every = itertools.permutations(range(1, len(far)))
    least = min(length(list(each), far) for each in every)
    assert length(shortest_walk(far), far) == pytest.approx(least)


@pytest.mark.parametrize("count", [11, 40, 401])
def test_every_place_is_walked_to_once(count):
    walk = shortest_walk(garden(count, count))
    assert sorted(walk) == list(range(1, count + 1))


@pytest.mark.parametrize("seed", range(6))
def test_a_mended_walk_is_near_the_shortest_and_never_longer_than_the_nearest_next(seed):
    far = garden(seed, 10)
    mended = order._mended(order._nearest(far), far)
    assert length(mended, far) <= length(order._nearest(far), far)
    assert length(mended, far) <= 1.2 * length(shortest_walk(far), far)
    assert sorted(mended) == list(range(1, 11))


def test_a_row_of_places_is_walked_along():
    along = np.array([0.0, 30, 10, 50, 20, 40, 60, 70, 80, 90, 100, 110, 120])
    far = np.abs(along[:, None] - along[None])
    assert [along[each] for each in shortest_walk(far)] == sorted(along)[1:]


def test_nowhere_to_go():
    assert shortest_walk([[0.0]]) == []


@pytest.mark.parametrize("count", [0, 7, 60, 402])
def test_a_walk_round_places_is_that_of_their_distances(count):
    places = np.random.default_rng(count).uniform(0, 100, (count + 1, 2))
    far = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    assert walk_round(places) == shortest_walk(far)


def test_ten_thousand_places_need_no_table_of_distances():
    places = np.random.default_rng(1).uniform(0, 1000, (10_001, 2))
    tracemalloc.start()
    walk = walk_round(places)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert sorted(walk) == list(range(1, 10_001))
    assert most < 20_000_000  # [bytes]; a table has 800,000,000
