"""The heading of fewest turns.

The figures were worked out by hand from the corners; that a convex shape is swept with the fewest
turns along its least width is from W. H. Huang, Optimal line-sweep-based decompositions for
coverage algorithms, ICRA 2001 (from memory).
"""

import numpy as np
import pytest
import shapely

from lawnmap.geometry.passes.headings import is_convex, least_width


@pytest.mark.parametrize(
    ("corners", "width", "heading"),
    [
        ([(0, 0), (4, 0), (0, 3)], 2.4, 90 + np.degrees(np.arctan2(3, 4))),  # along the hypotenuse
        ([(0, 0), (10, 0), (2, 6)], 6.0, 90.0),
        ([(0, 0), (12, 0), (13, 5), (6, 13), (-2, 6)], 13.0, 90.0),
        ([(0, 0), (20, 0), (20, 50), (0, 50)], 20.0, 0.0),
    ],
)
def test_least_width(corners, width, heading):
    found = least_width(shapely.Polygon(corners))
    assert found.width_m == pytest.approx(width)
    apart = abs(found.heading_deg - heading) % 180
    assert min(apart, 180 - apart) == pytest.approx(0, abs=1e-6)


def test_the_rectangle_of_least_area_is_another_thing():
    triangle = shapely.Polygon([(0, 0), (10, 0), (2, 6)])
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(triangle))
    sides = np.hypot(*np.diff(corners, axis=0).T)
    assert sides.min() == pytest.approx(6.3246, abs=1e-4)
    assert least_width(triangle).width_m < sides.min()


def test_least_width_against_every_heading():
    rng = np.random.default_rng(5)
    for _ in range(50):
        hull = shapely.convex_hull(shapely.MultiPoint(rng.normal(size=(12, 2)) * [5, 2]))
        points, angle = shapely.get_coordinates(hull), np.radians(np.arange(0, 180, 0.05))
        across = points @ np.stack([np.cos(angle), np.sin(angle)])
        least = np.ptp(across, axis=0).min()
        found = least_width(hull).width_m
        assert found <= least + 1e-12
        assert found == pytest.approx(least, rel=1e-3)


def test_of_equal_widths_the_longest_edge_is_taken():
    kite = shapely.box(0, 0, 10, 10) | shapely.Polygon([(0, 0), (10, 0), (5, -0.0)])
    assert least_width(kite).width_m == pytest.approx(10)


def test_convex_and_hollow():
    assert is_convex(shapely.box(0, 0, 3, 3))
    assert not is_convex(shapely.box(0, 0, 3, 3) - shapely.box(1, 1, 2, 2))
    assert not is_convex(shapely.box(0, 0, 3, 3) | shapely.box(5, 0, 8, 3))
