"""A walk that goes on past where it began is cut there; any other is left alone."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.overshoot import without_overshoot
from tests.geometry.test_walk import SHAPES, walked

SQUARE = [(0, 0), (20, 0), (20, 20), (0, 20)]


def cut(*points):
    return without_overshoot(np.array(points, dtype=float))


def area(points):
    return shapely.Polygon(points).area


def test_on_along_the_first_side():
    # Passing the start exactly, 3 m beyond.
    found = cut(*SQUARE, (0, 0), (3, 0))
    assert found[-1].tolist() == pytest.approx([0, 0])
    assert area(found) == pytest.approx(400)


def test_on_beside_the_first_side():
    found = cut(*SQUARE, (-1, 0), (4, -0.5), (5, -0.5))
    assert found[-1].tolist() != [5, -0.5]
    assert np.hypot(*(found[-1] - found[0])) < 1
    assert area(found) == pytest.approx(400, abs=12)


def test_across_the_first_side():
    found = cut(*SQUARE, (2, -2))
    assert found[0].tolist() == found[-1].tolist()
    assert found[0][1] == pytest.approx(0)
    assert shapely.is_valid(shapely.Polygon(found))


@pytest.mark.parametrize("name", SHAPES)
def test_a_walk_that_ends_short_is_left(name):
    points, _ = walked(SHAPES[name])
    assert without_overshoot(points) is None
    assert without_overshoot(np.vstack([points, points[:1]])) is None
    assert without_overshoot(points[:-4]) is None


def test_what_is_no_way_round():
    assert cut((0, 0), (5, 0), (5, 5)) is None
    assert cut((1, 1), (1, 1), (1, 1), (1, 1)) is None
    assert cut((0, 0), (50, 0), (50, 20), (70, 20)) is None


def test_a_scribble_is_left():
    assert without_overshoot(np.random.default_rng(1).random((5_000, 2))) is None
    assert without_overshoot(np.random.default_rng(1).random((20_000, 2))) is None


places = st.floats(-30, 30, allow_nan=False).map(lambda value: round(value, 1))


@given(st.lists(st.tuples(places, places), min_size=2, max_size=40))
def test_a_cut_walk_is_shorter(pairs):
    points = np.array(pairs, dtype=float)
    found = without_overshoot(points)
    if found is not None:
        assert len(found) >= 2
        assert np.isfinite(found).all()
        assert shapely.LineString(found).length <= shapely.LineString(points).length + 1e-6
