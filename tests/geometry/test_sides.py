"""Counting where sides meet, against GEOS."""

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.sides import meetings

lines = st.lists(
    st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=2, max_size=12, unique=True
).map(lambda pairs: np.array(pairs, dtype=float))


def sides(line):
    return shapely.linestrings(np.stack([line[:-1], line[1:]], axis=1))


@given(lines, lines)
def test_as_geos_counts(one, other):
    expected = shapely.intersects(sides(one)[:, None], sides(other)).sum()
    assert meetings(one, other, 1_000) == expected


def test_counting_ends_early():
    scribble = np.random.default_rng(1).random((3_000, 2))
    assert 100 < meetings(scribble, scribble, 100) < 500_000
