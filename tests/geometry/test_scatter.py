"""Places to look at: inside, as many as wanted, spread over the zone, and the same every time."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from lawnmap.geometry.scatter import along_w, one_in_each

counts = st.integers(1, 12)


@st.composite
def lawns(draw):
    radii = draw(st.lists(st.floats(3, 25), min_size=4, max_size=12))
    angles = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    return shapely.Polygon(np.column_stack([radii * np.cos(angles), radii * np.sin(angles)]))


@given(lawns(), counts)
def test_a_walk_stays_on_the_lawn(lawn, count):
    found = along_w(lawn, count)
    assert found.shape == (count, 2)
    assert shapely.distance(lawn, shapely.points(found)).max() < 1e-6


@given(lawns(), counts, st.integers(0, 99))
def test_chance_stays_on_the_lawn_and_is_the_same_twice(lawn, count, seed):
    found = one_in_each(lawn, count, apart_m=0.5, seed=[seed])
    assert shapely.contains_xy(lawn, found).all()
    assert found.shape == (count, 2)
    assert found.tolist() == one_in_each(lawn, count, apart_m=0.5, seed=[seed]).tolist()
    assert found.tolist() != one_in_each(lawn, count, apart_m=0.5, seed=[seed, 1]).tolist()


def test_a_walk_turns_with_the_lawn():
    lawn = shapely.box(0, 0, 60, 15)
    turned = affinity.rotate(lawn, 33, origin=(0, 0))
    back = affinity.rotate(shapely.MultiPoint(along_w(turned, 5)), -33, origin=(0, 0))
    straight = shapely.get_coordinates(back)
    assert straight == pytest.approx(along_w(lawn, 5), abs=1e-6) or straight[::-1] == pytest.approx(
        along_w(lawn, 5), abs=1e-6
    )


def test_a_walk_goes_over_the_length_and_to_both_sides():
    found = along_w(shapely.box(0, 0, 60, 15), 5)
    assert np.ptp(found[:, 0]) > 30
    assert (found[:, 1] < 7.5).any()
    assert (found[:, 1] > 7.5).any()


def test_one_place_in_each_quarter():
    found = one_in_each(shapely.box(0, 0, 40, 10), 4, apart_m=1, seed=[7])
    assert sorted(int(x // 10) for x in found[:, 0]) == [0, 1, 2, 3]


def test_places_keep_apart_where_they_can():
    for seed in range(20):
        found = one_in_each(shapely.box(0, 0, 30, 30), 9, apart_m=5, seed=[seed])
        apart = np.hypot(*(found[:, None] - found[None]).transpose(2, 0, 1))
        assert apart[np.triu_indices(9, 1)].min() >= 5


def test_every_part_of_a_lawn_is_as_likely():
    """Two thousand places over a horseshoe: each tenth of the ground has about its share."""
    lawn = shapely.box(0, 0, 30, 30).difference(shapely.box(10, 10, 20, 31))
    found = np.vstack([one_in_each(lawn, 4, apart_m=0, seed=[seed]) for seed in range(500)])
    left_arm = (found[:, 0] < 10) & (found[:, 1] > 10)
    share = 200 / lawn.area
    error = np.sqrt(share * (1 - share) / len(found))
    assert left_arm.mean() == pytest.approx(share, abs=4 * error)


def test_a_lawn_too_narrow_to_keep_from_its_edge_still_has_places():
    sliver = shapely.Polygon([(0, 0), (30, 0.1), (30, 0.3)])
    assert shapely.distance(sliver, shapely.points(along_w(sliver, 3))).max() < 1e-6
