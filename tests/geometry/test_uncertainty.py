"""Standard error of an area against the rule for rectangles and a simulation."""

import numpy as np
import pytest
import shapely

from lawnmap.geometry import ellipsoid, uncertainty
from lawnmap.geometry.frame import Frame

FRAME = Frame(-1.55, 53.8)


def rectangle(width, length):
    corners = np.array([[0, 0], [width, 0], [width, length], [0, length]], dtype=float)
    return shapely.Polygon(FRAME.to_lonlat(corners)), corners


@pytest.mark.parametrize(("sigma", "expected"), [(0.05, 2.693), (1.0, 53.85), (3.0, 161.6)])
def test_a_rectangle_gives_sigma_times_its_diagonal(sigma, expected):
    # 20 x 50 m: error propagation of the coordinate formula (Bondesson, Ståhl & Holm 1998).
    lawn, _ = rectangle(20, 50)
    assert uncertainty.area_sigmas(np.array([lawn]), np.array([sigma]))[0] == pytest.approx(
        expected, rel=1e-3
    )


def test_a_simulation_agrees():
    lawn, corners = rectangle(20, 50)
    rng = np.random.default_rng(7)
    moved = [
        shapely.Polygon(FRAME.to_lonlat(corners + rng.normal(0, 0.5, corners.shape)))
        for _ in range(4000)
    ]
    spread = ellipsoid.areas(np.array(moved)).std()
    told = uncertainty.area_sigmas(np.array([lawn]), np.array([0.5]))[0]
    assert spread == pytest.approx(told, rel=0.05)


def test_unknown_stays_unknown():
    lawn, _ = rectangle(20, 50)
    assert np.isnan(uncertainty.area_sigmas(np.array([lawn]), np.array([np.nan]))[0])


def test_every_ring_counts_and_a_line_does_not():
    # By the formula of the docstring, worked corner by corner in a flat frame.
    lawn, corners = rectangle(20, 50)
    bed, inner = rectangle(4, 6)
    pierced = shapely.Polygon(lawn.exterior, [bed.exterior])
    line = shapely.LineString(lawn.exterior.coords)
    total = sum(
        ((np.roll(each, -1, axis=0) - np.roll(each, 1, axis=0)) ** 2).sum()
        for each in (corners, inner)
    )
    shapes = np.array([pierced, shapely.MultiPolygon([pierced]), line, shapely.Polygon()])
    found = uncertainty.area_sigmas(shapes, np.full(4, 0.3))
    assert found[:2] == pytest.approx(0.15 * np.sqrt(total), rel=1e-7)
    assert found[2:].tolist() == [0, 0]


def test_across_the_antimeridian():
    here, there = Frame(0.0, -17.0), Frame(180.0, -17.0)
    corners = np.array([[-5, 0], [15, 0], [20, 30], [-8, 25]], dtype=float)
    shapes = np.array([shapely.Polygon(each.to_lonlat(corners)) for each in (here, there)])
    one, other = uncertainty.area_sigmas(shapes, np.ones(2))
    assert other == pytest.approx(one, rel=1e-9)
