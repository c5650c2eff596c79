"""Planes and triangles, against slopes that are known and worked areas."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.surface import longest, narrowest, plane, shares, tin

RISES = st.floats(-0.8, 0.8)


def on_plane(east, north, count=40, noise=0.0, seed=1):
    chance = np.random.default_rng(seed)
    xy = chance.uniform(0, 40, (count, 2))
    return np.column_stack([xy, xy @ [east, north] + 50 + chance.normal(0, noise, count)])


@given(RISES, RISES)
def test_a_plane_is_found_again(east, north):
    found = plane(on_plane(east, north))
    assert found.east == pytest.approx(east, abs=1e-9)
    assert found.north == pytest.approx(north, abs=1e-9)
    assert found.slope_deg == pytest.approx(np.degrees(np.arctan(np.hypot(east, north))), abs=1e-7)


def test_the_standard_error_of_a_slope_is_what_its_spread_is():
    """Against 400 drawn sets of heights: the same points, other errors each time."""
    xy = on_plane(0.2, 0.1)[:, :2]
    chance = np.random.default_rng(7)
    found = []
    for _ in range(400):
        height = xy @ [0.2, 0.1] + chance.normal(0, 0.05, len(xy))
        found.append(plane(np.column_stack([xy, height])))
    spread = np.std([each.slope_deg for each in found])
    assert np.mean([each.sigma_deg for each in found]) == pytest.approx(spread, rel=0.1)
    assert np.mean([each.residual_m for each in found]) == pytest.approx(0.05, rel=0.02)


def test_three_heights_leave_nothing_to_check():
    found = plane(np.array([[0, 0, 0], [10, 0, 1], [0, 10, 0.0]]))
    assert found.slope_deg == pytest.approx(5.7106, abs=1e-4)  # atan(0.1)
    assert np.isnan(found.sigma_deg)
    assert np.isnan(found.residual_m)


def test_level_ground_has_a_standard_error_too():
    found = plane(np.array([[0, 0, 1], [10, 0, 1], [0, 10, 1], [10, 10, 1.0]]))
    assert (found.slope_deg, found.sigma_deg) == (0, 0)


@pytest.mark.parametrize(
    "points",
    [
        np.zeros((0, 3)),
        np.zeros((5, 3)),
        [[0, 0, 1], [1, 1, 2.0]],
        [[0, 0, 1], [1, 1, 2], [2, 2, 5], [3, 3, 1.0]],
    ],
)
def test_heights_on_one_line_are_no_plane(points):
    with pytest.raises(ValueError, match="on one line"):
        plane(np.array(points, dtype=float))


@given(RISES, RISES)
def test_triangles_on_a_plane_all_slope_as_it_does(east, north):
    facets = tin(on_plane(east, north))
    steep = np.hypot(east, north)
    assert facets.slope_deg == pytest.approx(np.degrees(np.arctan(steep)), abs=1e-4)
    assert facets.factor == pytest.approx(np.sqrt(1 + steep**2), abs=1e-9)
    hull = shapely.convex_hull(shapely.multipoints(on_plane(east, north)[:, :2]))
    assert shapely.area(facets.shapes).sum() == pytest.approx(hull.area, rel=1e-9)


def test_a_pyramid_has_the_area_of_its_four_sides():
    """6 m square and 4 m high: each side is 6 · 5 / 2 m² (the slant is 5 by 3, 4, 5)."""
    corners = [[0, 0, 0], [6, 0, 0], [6, 6, 0], [0, 6, 0], [3, 3, 4]]
    facets = tin(np.array(corners, dtype=float))
    area = shapely.area(facets.shapes)
    assert area @ facets.factor == pytest.approx(60, abs=1e-9)
    assert facets.slope_deg == pytest.approx(53.1301, abs=1e-4)  # atan(4/3)


def test_heights_on_a_line_have_no_triangles():
    facets = tin(np.array([[0, 0, 1], [1, 1, 2], [2, 2, 2.0]]))
    assert len(facets.shapes) == len(facets.slope_deg) == 0
    assert len(longest(facets.shapes)) == len(narrowest(facets.shapes)) == 0


def test_sides_of_a_triangle():
    """3, 4, 5: the height on the long side is 12/5."""
    shapes = np.array([shapely.Polygon([(0, 0), (3, 0), (0, 4)])], dtype=object)
    assert longest(shapes) == pytest.approx([5])
    assert narrowest(shapes) == pytest.approx([2.4])


def test_shares_of_facets_add_up_to_the_outline():
    facets = tin(on_plane(0.1, 0.2, count=200))
    outlines = np.array(
        [shapely.box(8, 8, 30, 30), shapely.Point(20, 20).buffer(7), shapely.Polygon()],
        dtype=object,
    )
    found = shares(outlines, facets.shapes)
    sums = np.bincount(found.outline, found.area_m2, minlength=3)
    assert sums == pytest.approx(shapely.area(outlines), rel=1e-9)
