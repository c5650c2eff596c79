"""Areas made of several ways: joined by nodes, holes told by where they lie."""

import random
from itertools import pairwise

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import shape

from lawnmap.readers.osm import rings as osm_rings
from lawnmap.readers.osm.rings import joined, nested


def canonical(ring):
    """Return a ring turned and directed so that equal rings are equal lists."""
    nodes = list(ring[:-1])
    least = nodes.index(min(nodes))
    turned = nodes[least:] + nodes[:least]
    return min(turned, [turned[0], *turned[:0:-1]])


@given(
    st.lists(st.integers(3, 12), min_size=1, max_size=5),
    st.randoms(use_true_random=False),
)
def test_rings_cut_into_ways_in_any_order_and_direction_come_back(sizes, chance):
    rings, ways, number = [], [], 0
    for size in sizes:
        ring = list(range(number, number + size))
        number += size
        rings.append((*ring, ring[0]))
        cuts = sorted(chance.sample(range(size), chance.randint(1, size)))
        begun = ring[cuts[0] :] + ring[: cuts[0]] + [ring[cuts[0]]]
        ends = [cut - cuts[0] for cut in cuts] + [size]
        pieces = [begun[a : b + 1] for a, b in pairwise(ends)]
        ways += [tuple(piece[:: chance.choice((1, -1))]) for piece in pieces]
    chance.shuffle(ways)
    assert sorted(map(canonical, joined(ways))) == sorted(map(canonical, rings))


def test_rings_that_touch_in_a_node_are_told_apart():
    """A figure of eight of four ways: whichever way on is taken, two rings come out."""
    ways = [(1, 2, 3), (3, 4, 1), (3, 5, 6), (6, 7, 3)]
    for seed in range(24):
        random.Random(seed).shuffle(ways)
        assert sorted(map(canonical, joined(ways))) == [[1, 2, 3, 4], [3, 5, 6, 7]]


@pytest.mark.parametrize(
    "ways",
    [
        [(1, 2, 3)],
        [(1, 2, 3), (3, 4, 5)],
        [(1, 2, 3, 1), (4, 5)],
        [(1, 2), (2, 1)],  # there and back is no ring
        [(1, 2, 1)],
        [(1, 2, 3), (3, 1), (3, 4)],
    ],
)
def test_what_does_not_close_is_none(ways):
    assert joined(ways) is None


def box(west, south, east, north):
    return [list(xy) for xy in shapely.box(west, south, east, north).exterior.coords]


def test_a_ring_is_a_hole_by_how_many_lie_round_it():
    rings = [box(4, 4, 6, 6), box(0, 0, 10, 10), box(3, 3, 7, 7), box(20, 0, 30, 10)]
    geometry, holes = nested(rings)
    assert holes == [False, False, True, False]
    assert geometry["type"] == "MultiPolygon"
    assert shape(geometry).is_valid
    assert shape(geometry).area == 100 - 16 + 4 + 100


def test_a_hole_may_touch_its_outline_in_a_node():
    geometry, holes = nested([box(0, 0, 10, 10), [[0, 0], [4, 1], [4, 4], [0, 0]]])
    assert holes == [False, True]
    assert shape(geometry).is_valid


def test_holes_side_by_side_are_one():
    """The wiki's page allows it, and Simple Features (OGC 06-103r4, 6.1.11) does not."""
    geometry, holes = nested([box(0, 0, 10, 10), box(2, 2, 4, 6), box(4, 2, 6, 6)])
    assert holes == [False, True, True]
    assert geometry["type"] == "Polygon"
    assert shape(geometry).is_valid
    assert shape(geometry).area == 100 - 16


def test_holes_round_an_island_leave_it():
    around = [box(2, 2, 8, 4), box(2, 6, 8, 8), box(2, 4, 4, 6), box(6, 4, 8, 6)]
    geometry, _ = nested([box(0, 0, 10, 10), *around])
    assert shape(geometry).is_valid
    assert shape(geometry).area == 100 - 36 + 4


def test_rings_that_cross_are_left_for_the_judge_of_outlines():
    geometry, _ = nested([box(0, 0, 10, 10), box(2, 2, 5, 5), box(4, 4, 12, 6)])
    assert not shape(geometry).is_valid
    bow_tie = [[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]
    geometry, holes = nested([bow_tie])
    assert geometry == {"type": "Polygon", "coordinates": [bow_tie]}
    assert holes == [False]


@pytest.mark.slow
def test_combs_that_cross_a_million_times_are_not_joined():
    """Two combs at right angles, of 4,000 teeth: their difference would take hours."""
    teeth = [[n, (n % 2) * 4_000] for n in range(4_000)]
    one = [[0, -1], *teeth, [3_999, -1], [0, -1]]
    other = [[y, x] for x, y in one]
    geometry, _ = nested([box(-10, -10, 5_000, 5_000), one, other])
    assert not shape(geometry).is_valid
    assert osm_rings.MOST_JOINED < 4_000
