"""Lobes of walks that cross themselves: areas by hand, and by winding numbers."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry import lobes


def found(*corners):
    return lobes.lobes(np.array([*corners, corners[0]], dtype=float))


def areas(*corners):
    return [(round(lobe.area, 6), lobe.turn) for lobe in found(*corners)]


def test_one_way_round():
    assert areas((0, 0), (20, 0), (20, 30), (0, 30)) == [(600, 1)]
    assert areas((0, 0), (0, 30), (20, 30), (20, 0)) == [(600, -1)]


def test_a_figure_of_eight():
    # The sides cross at (5, 10): triangles of base 10 and height 10, base 20 and height 20.
    assert areas((0, 0), (10, 0), (-5 + 0, 30), (15, 30)) == [(200, -1), (50, 1)]


def test_a_chain_of_lobes():
    # Half a diamond at either end, two whole ones between, each turned against the last.
    there, back = [(0, 0), (10, 10), (20, 0), (30, 10)], [(30, 0), (20, 10), (10, 0), (0, 10)]
    assert areas(*there, *back) == [(50, -1), (50, 1), (25, -1), (25, 1)]


def test_ground_walked_round_twice_is_there_once():
    twice = [(0, 0), (10, 0), (10, 10), (0, 10)] * 2
    assert areas(*twice) == [(100, 1)]
    inner = [(0, 0), (10, 0), (10, 10), (4, 4), (6, 2), (6, 6), (0, 10)]
    (one,) = found(*inner)
    assert one.turn == 1


def test_a_knot_is_no_lobe():
    knotted = [(0, 0), (20, 0), (20, 10), (10, 10), (9.8, 10.3), (10.2, 10.3), (9.9, 10), (0, 10)]
    every = found(*knotted)
    kept = lobes.without_knots(every)
    assert len(every) > len(kept) == 1
    assert kept[0].area == pytest.approx(200, abs=0.1)


def test_small_ground_is_not_all_knots():
    tiny = found((0, 0), (0.4, 0.4), (0.4, 0), (0, 0.4))
    assert len(lobes.without_knots(tiny)) == 2


def test_a_scribble_is_not_taken_apart():
    chance = np.random.default_rng(1)
    scribble = chance.random((300, 2))
    assert lobes.lobes(np.vstack([scribble, scribble[:1]])) is None
    circle = [(math.cos(n / 500), math.sin(n / 500)) for n in range(3000)]
    assert found(*circle) is None
    assert found((0, 0), (5, 0), (10, 0)) == []


places = st.integers(-9, 9)


@given(st.lists(st.tuples(places, places), min_size=3, max_size=12))
def test_lobes_are_sound_and_add_up(corners):
    ring = np.array([*corners, corners[0]], dtype=float)
    every = lobes.lobes(ring)
    assert every is not None
    # Each piece is counted as often as it is gone round: the coordinate formula gives their sum.
    pieces = shapely.get_parts(shapely.polygonize([shapely.unary_union(shapely.LineString(ring))]))
    inside = shapely.get_coordinates(shapely.point_on_surface(pieces)).reshape(-1, 2)
    winds = lobes._windings(ring, inside) if len(pieces) else np.zeros(0)
    x, y = ring[:-1].T
    signed = float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    assert float((shapely.area(pieces) * winds).sum()) == pytest.approx(signed, abs=1e-6)
    for lobe in every:
        assert shapely.is_valid(lobe.outline)
        assert lobe.area > 0
    if every:
        whole = lobes.together(every)
        assert shapely.is_valid(whole)
        gone_round = float(shapely.area(pieces)[winds != 0].sum())
        assert whole.area == pytest.approx(gone_round, abs=1e-6)
