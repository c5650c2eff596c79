"""Tests of edges on bearings, against a ray cut with the footprint by GEOS."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.sunlight.edges import Edges, edges
from lawnmap.geometry.sunlight.obstacle import Obstacle, outlines

BEARINGS = np.arange(0.5, 360)
FAR = 1000.0
BAY = shapely.box(0, 0, 6, 6).difference(shapely.box(2, 2, 4, 6))
YARD = shapely.box(0, 0, 6, 6).difference(shapely.box(2, 2, 4, 4))
TWO = shapely.MultiPolygon([shapely.box(0, 0, 2, 2), shapely.box(4, 3, 6, 7)])


def seen(x: float, y: float, *shapes, base: float = 1.0, top: float = 4.0) -> Edges:
    around = outlines([Obstacle(shape, base, top, 0.5) for shape in shapes])
    return edges(np.array([[x, y, 0.0]]), around, BEARINGS)


def by_rays(x: float, y: float, shape, base: float = 1.0, top: float = 4.0):
    """Return (bearing, rise) of tops where rays come in, and of bases where they leave."""
    tops, bases = [], []
    for number, bearing in enumerate(np.radians(BEARINGS)):
        ray = shapely.LineString([(x, y), (x + FAR * np.sin(bearing), y + FAR * np.cos(bearing))])
        cut = shapely.get_parts(shapely.intersection(ray, shape))
        for part in cut[~shapely.is_empty(cut)]:
            near, far = np.sort(np.hypot(*(shapely.get_coordinates(part)[[0, -1]] - [x, y]).T))
            bases.append((number, base / far))
            tops += [(number, top / near)] if near > 0 else []
    return sorted(tops), sorted(bases)


@pytest.mark.parametrize("shape", [shapely.box(0, 0, 6, 6), BAY, YARD, TWO])
@pytest.mark.parametrize("place", [(-3.3, 2.1), (3.1, 7.7), (1.1, 0.9), (3.2, 3.1), (5.1, 4.9)])
def test_edges_are_where_rays_come_in_and_leave(shape, place):
    found = seen(*place, shape)
    tops, bases = by_rays(*place, shape)
    for enters, known in ((True, tops), (False, bases)):
        mine = sorted(
            zip(found.cell[found.enters == enters], found.rise[found.enters == enters], strict=True)
        )
        assert [bearing for bearing, _ in mine] == [bearing for bearing, _ in known]
        assert [r for _, r in mine] == pytest.approx([r for _, r in known], rel=1e-6)
    assert bool(len(found.inside)) == shape.contains(shapely.Point(place))


def test_what_is_not_above_the_point_has_no_rise():
    assert (seen(-3, 1, shapely.box(0, 0, 2, 2), base=-2, top=-1).rise == 0).all()
    assert len(seen(1, 1, shapely.box(0, 0, 2, 2), base=-2, top=-1).inside) == 0
    low = seen(-3, 1, shapely.box(0, 0, 2, 2), base=-np.inf, top=3)
    assert (low.rise[~low.enters] == 0).all()
    assert (low.rise[low.enters] > 0).all()


def test_point_inside_one_of_two_is_inside_that_one():
    found = seen(1, 1, shapely.box(5, 5, 6, 6), shapely.box(0, 0, 2, 2))
    assert found.inside.tolist() == [[0, 1]]


def test_point_on_a_wall_does_not_see_through_it():
    found = seen(1.0, 0.0, shapely.box(0, 0, 2, 2))
    north = (found.cell < 90) | (found.cell >= 270)
    steep = found.enters & (found.rise > 1e6)
    assert len(found.inside) == 1 or set(found.cell[steep]) == set(found.cell[north])


def test_leaving_may_be_left_out():
    around = outlines([Obstacle(BAY, 0, 3)])
    xyz = np.array([[-3.3, 2.1, 0.0]])
    whole, half = edges(xyz, around, BEARINGS), edges(xyz, around, BEARINGS, entering=True)
    assert half.enters.all()
    assert np.array_equal(half.rise, whole.rise[whole.enters])


@given(
    st.lists(st.tuples(st.integers(-5, 5), st.integers(-5, 5)), min_size=3, max_size=8),
    st.tuples(st.integers(-6, 6), st.integers(-6, 6)),
    st.lists(st.integers(0, 359), min_size=1, max_size=40, unique=True),
)
def test_bearings_leave_as_often_as_they_come_in(corners, place, bearings):
    """Also from corners, along sides, and through corners: whole numbers meet them all."""
    shape = shapely.convex_hull(shapely.MultiPoint(corners))
    if shape.geom_type != "Polygon":
        return
    around = outlines([Obstacle(shape, 0, 3, 0.5)])
    bearing_deg = np.sort(np.array(bearings, dtype=float))
    found = edges(np.array([[*place, 0.0]]), around, bearing_deg)
    come = np.bincount(found.cell[found.enters], minlength=len(bearings))
    leave = np.bincount(found.cell[~found.enters], minlength=len(bearings))
    assert (leave - come == len(found.inside)).all()
    assert (come <= 1).all()
    assert np.isfinite(found.rise).all()
