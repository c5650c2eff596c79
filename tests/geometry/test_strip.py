"""Strips along water and paving, against areas worked by hand."""

import numpy as np
import pytest
import shapely

from lawnmap.geometry import strip
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame

FRAME = Frame(-1.55, 53.8)


def box(west, south, east, north):
    corners = np.array([[west, south], [east, south], [east, north], [west, north]], dtype=float)
    return shapely.Polygon(FRAME.to_lonlat(corners))


def test_a_strip_along_a_straight_edge():
    ditch = shapely.LineString(FRAME.to_lonlat(np.array([[-50.0, 0], [50, 0]])))
    (left,) = areas(strip.outside_strip(np.array([box(0, 0, 20, 10)]), np.array([ditch]), 2.0))
    # Widened by 1/cos(π/64) so that round corners hold the true circle: 2 mm in 2 m.
    assert 20 * 7.99 < left <= 20 * 8


def test_a_strip_round_a_point_is_never_too_narrow():
    well = shapely.Point(*FRAME.to_lonlat(np.array([[10.0, 10.0]]))[0])
    zone = np.array([box(0, 0, 20, 20)])
    left = strip.outside_strip(zone, np.array([well]), 3.0)[0]
    metres = FRAME.flat(np.array([left, well]))
    assert shapely.distance(metres[0], metres[1]) >= 3.0 - 1e-6
    assert areas(np.array([left]))[0] == pytest.approx(400 - np.pi * 9, rel=2e-3)


def test_far_things_and_no_width_change_nothing():
    zone = np.array([box(0, 0, 20, 20)])
    far = np.array([box(100, 0, 120, 20)])
    assert (strip.outside_strip(zone, far, 5.0) == zone).all()
    assert (strip.outside_strip(zone, zone, 0.0) == zone).all()
    assert (strip.outside_strip(zone, far[:0], 5.0) == zone).all()


def test_a_disc_has_the_area_of_a_circle():
    assert areas(np.array([strip.disc(-1.55, 53.8, 2.0)]))[0] == pytest.approx(4 * np.pi, rel=1e-6)
