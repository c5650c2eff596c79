"""Ground counted once: overlaps and obstacles, against areas worked by hand."""

import numpy as np
import pytest
import shapely

from lawnmap.geometry import overlay
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame

FRAME = Frame(-1.55, 53.8)


def box(west, south, east, north):
    corners = np.array([[west, south], [east, south], [east, north], [west, north]], dtype=float)
    return shapely.Polygon(FRAME.to_lonlat(corners))


def test_two_zones_that_share_a_strip():
    zones = np.array([box(0, 0, 20, 10), box(18, 0, 40, 10)])
    (pair,) = overlay.overlaps(zones)
    assert pair[:2] == (0, 1)
    assert pair.area_m2 == pytest.approx(20, abs=0.001)
    once = areas(overlay.counted_once(zones, [pair]))
    assert once == pytest.approx([200, 200], abs=0.005)


def test_neighbours_that_only_touch_do_not_overlap():
    assert overlay.overlaps(np.array([box(0, 0, 20, 10), box(20, 0, 40, 10)])) == []


def test_three_on_one_spot_are_counted_once():
    zones = np.array([box(0, 0, 10, 10)] * 3)
    pairs = overlay.overlaps(zones)
    assert [pair[:2] for pair in pairs] == [(0, 1), (0, 2), (1, 2)]
    once = areas(overlay.counted_once(zones, pairs))
    assert once == pytest.approx([100, 0, 0], abs=0.001)


def test_a_zone_inside_a_zone():
    zones = np.array([box(0, 0, 20, 20), box(5, 5, 10, 10)])
    once = areas(overlay.counted_once(zones, overlay.overlaps(zones)))
    assert once == pytest.approx([400, 0], abs=0.002)


def test_obstacles_that_overlap_are_taken_out_once():
    lawn = overlay.without(
        np.array([box(0, 0, 20, 10), box(30, 0, 40, 10)]),
        np.array([box(2, 2, 6, 6), box(4, 4, 8, 8), box(18, 8, 25, 15)]),
    )
    assert areas(lawn) == pytest.approx([200 - (16 + 16 - 4) - 4, 100], abs=0.003)


def test_nothing_there():
    nothing = np.array([], dtype=object)
    assert overlay.overlaps(nothing) == []
    assert len(overlay.without(nothing, nothing)) == 0
    lawn = np.array([box(0, 0, 20, 10)])
    assert (overlay.without(lawn, nothing) == lawn).all()
