"""Strips along things and zones parted by them, against areas worked by hand."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.geometry import strip
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame

FRAME = Frame(-1.55, 53.8)

numbers = st.floats(-30, 30, allow_nan=False).map(lambda each: round(each, 3))
places = st.tuples(numbers, numbers)
things = st.one_of(
    places.map(shapely.Point),
    st.lists(places, min_size=2, max_size=4, unique=True).map(shapely.LineString),
    st.tuples(numbers, numbers, st.floats(0.5, 9), st.floats(0.5, 9)).map(
        lambda each: shapely.box(each[0], each[1], each[0] + each[2], each[1] + each[3])
    ),
)
widths = st.floats(0, 8).map(lambda each: round(each, 3))


def on_earth(*metres):
    return FRAME.round(np.array(metres, dtype=object))


def box(west, south, east, north):
    return on_earth(shapely.box(west, south, east, north))[0]


def left(zones, things, width_m):
    """Return what of each zone lies beyond a distance of all things."""
    strips = strip.around(things, np.full(len(things), width_m))
    return strip.part(zones, strips, np.zeros(len(things), dtype=int)).outside


def test_a_strip_along_a_straight_edge():
    ditch = on_earth(shapely.LineString([(-50, 0), (50, 0)]))
    (area,) = areas(left(np.array([box(0, 0, 20, 10)]), ditch, 2.0))
    # Widened by 1/cos(π/64) so that round corners hold the true circle: 2 mm in 2 m.
    assert 20 * 7.99 < area <= 20 * 8


def test_a_strip_round_a_point_is_never_too_narrow():
    well = on_earth(shapely.Point(10, 10))
    outside = left(np.array([box(0, 0, 20, 20)]), well, 3.0)[0]
    metres = FRAME.flat(np.array([outside, well[0]]))
    assert shapely.distance(metres[0], metres[1]) >= 3.0 - 1e-6
    assert areas(np.array([outside]))[0] == pytest.approx(400 - np.pi * 9, rel=2e-3)


def test_far_things_and_no_width_change_nothing():
    zone = np.array([box(0, 0, 20, 20)])
    far = np.array([box(100, 0, 120, 20)])
    assert left(zone, far, 5.0)[0].equals_exact(zone[0])
    assert left(zone, zone, 0.0)[0].equals_exact(zone[0])
    assert left(zone, far[:0], 5.0)[0].equals_exact(zone[0])


def test_a_width_is_true_far_from_the_zone_along_a_river():
    """A thing two kilometres long is drawn about its own middle: 5 m are 5 m at its end too."""
    river = on_earth(shapely.LineString([(-2000, 0), (0, 0)]))
    (area,) = areas(left(np.array([box(-20, 0, 0, 10)]), river, 5.0))
    assert area == pytest.approx(20 * 5, rel=2e-3)


def test_ground_in_two_groups_counts_in_the_first():
    zone, strips = np.array([box(0, 0, 20, 10)]), np.array([box(0, 0, 8, 10), box(5, 0, 12, 10)])
    parted = strip.part(zone, strips, np.array([1, 0]))
    assert list(parted.group) == [0, 1]
    assert areas(parted.pieces) == pytest.approx([70, 50], abs=0.05)
    assert areas(parted.outside) == pytest.approx([80], abs=0.05)


def test_what_surely_has_no_zone_near_is_told():
    zone = np.array([box(0, 0, 20, 10)])
    far = on_earth(shapely.Point(26, 5), shapely.Point(120, 5))
    assert list(strip.near(zone, far, np.array([7.0, 7.0]))) == [True, False]
    assert not strip.near(zone[:0], far, np.array([7.0, 7.0])).any()


def test_a_disc_has_the_area_of_a_circle():
    found = strip.discs(np.array([[-1.55, 53.8], [151.2, -33.9]]), np.array([2.0, 0.5]))
    assert areas(found) == pytest.approx([4 * np.pi, np.pi / 4], rel=1e-6)
    assert len(strip.discs(np.zeros((0, 2)), np.zeros(0))) == 0


@settings(max_examples=60)
@given(st.lists(st.tuples(things, widths, st.integers(0, 3)), max_size=6), st.randoms())
def test_parts_are_the_whole_in_any_order_of_things(given_things, random):
    zones = np.array([box(-25, -20, 0, 20), box(0, -20, 25, 20)])
    made = [(on_earth(thing)[0], width, group) for thing, width, group in given_things]
    found = []
    for _ in range(2):
        shapes = np.array([each[0] for each in made], dtype=object)
        strips = strip.around(shapes, np.array([each[1] for each in made]))
        group = np.array([each[2] for each in made], dtype=int)
        parted = strip.part(zones, strips, group)
        pieces = np.bincount(parted.zone, areas(parted.pieces), minlength=2)
        # A side is a geodesic between its ends: cut in two it moves by some hundredths of a mm.
        assert areas(parted.outside) + pieces == pytest.approx(areas(zones), rel=1e-6)
        sums = np.zeros((2, 4))
        np.add.at(sums, (parted.zone, parted.group), areas(parted.pieces))
        found.append(sums)
        random.shuffle(made)
    assert found[0] == pytest.approx(found[1], abs=1e-6)


@settings(max_examples=60)
@given(st.lists(things, min_size=1, max_size=3), widths, widths)
def test_a_wider_strip_never_leaves_more(given_things, one, other):
    zones, shapes = np.array([box(-25, -20, 25, 20)]), on_earth(*given_things)
    narrow, wide = (areas(left(zones, shapes, each))[0] for each in sorted((one, other)))
    assert wide <= narrow * (1 + 1e-6) + 1e-6
