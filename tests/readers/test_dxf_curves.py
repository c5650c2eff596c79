"""Curves in chords: areas against the formulas of the circle, and against exact integrals."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from ezdxf.math import BSpline, Vec3, rational_bspline_from_arc
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.readers.dxf import curves as dxf_curves


def area(points):
    near = np.asarray(points)[:, :2] - np.asarray(points)[0, :2]
    x, y = near.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


@pytest.mark.parametrize("sweep", [1e-6, 0.1, 1.0, math.pi, 5.0, math.tau, -2.0])
def test_an_arc_keeps_the_area_of_its_sector(sweep):
    corners = dxf_curves.unit_arc(0.7, sweep)
    assert area([(0, 0), *corners]) == pytest.approx(sweep / 2, rel=1e-9)
    assert np.hypot(*corners[[0, -1]].T) == pytest.approx(1.0, rel=1e-12)
    # No corner is further from the arc than the chords of 3° would be: 1 - cos(1.5°).
    assert np.abs(np.hypot(*corners.T) - 1).max() <= 1 - math.cos(math.radians(1.5))


def test_a_semicircle_is_bulge_one():
    """geo.md 6.4, derived: bulge 1 on a chord of 10 adds 39.2699 (π·5²/2)."""
    square = np.array([(0, 0), (10, 0), (10, 10), (0, 10)], dtype=float)
    ring = dxf_curves.bulged(square, [1, 0, 0, 0], closed=True)
    assert area(ring) == pytest.approx(100 + 39.2699, abs=5e-5)
    assert ring[:, 1].min() == pytest.approx(-5, abs=0.01)  # anticlockwise: outside
    inward = dxf_curves.bulged(square, [-1, 0, 0, 0], closed=True)
    assert area(inward) == pytest.approx(100 - 39.2699, abs=5e-5)


def segment(a, b, bulge):
    """Area between a chord and its arc: r²(θ − sin θ)/2, with r = c(1 + b²)/4b, θ = 4 atan b."""
    if bulge == 0:
        return 0.0
    angle = 4 * math.atan(abs(bulge))
    radius = math.dist(a, b) * (1 + bulge**2) / (4 * abs(bulge))
    return math.copysign(radius**2 * (angle - math.sin(angle)) / 2, bulge)


corner = st.tuples(st.floats(-1000, 1000), st.floats(-1000, 1000))
bulge = st.one_of(st.just(0.0), st.floats(-20, 20).filter(lambda b: abs(b) > 1e-4))


@given(st.lists(st.tuples(corner, bulge), min_size=2, max_size=12))
def test_any_polyline_with_bulges_keeps_its_area(sides):
    corners = np.array([each for each, _ in sides])
    bulges = [each for _, each in sides]
    ends = np.roll(corners, -1, axis=0)
    extra = [segment(*each) for each in zip(corners, ends, bulges, strict=True)]
    size = area(corners) + sum(extra)
    scale = sum(map(abs, extra)) + np.ptp(corners, axis=0).prod() + 1
    ring = dxf_curves.bulged(corners, bulges, closed=True)
    assert area(ring) == pytest.approx(size, abs=1e-8 * scale)
    ends_kept = {tuple(each) for each in corners.tolist()}
    assert ends_kept <= {tuple(each) for each in ring.tolist()}


def test_an_open_polyline_ends_where_it_ends():
    line = dxf_curves.bulged(np.array([(0, 0), (10, 0), (20, 0)]), [0.5, 0, 0.9], closed=False)
    assert line[0].tolist() == [0, 0]
    assert line[-1].tolist() == [20, 0]
    assert len(line) == math.ceil(4 * math.atan(0.5) / math.radians(3)) + 2


@pytest.mark.parametrize("bad", [1e308, -1e7, math.inf, math.nan])
def test_a_bulge_that_is_no_arc_is_refused(bad):
    with pytest.raises(InputRefused, match="is no arc"):
        dxf_curves.bulged(np.array([(0, 0), (1, 0)]), [bad, 0], closed=True)


def test_a_whole_circle_as_a_rational_spline():
    """An exact circle (The NURBS Book, 7.5, from memory): π r²."""
    ring = dxf_curves.spline(rational_bspline_from_arc(radius=3))
    assert area(ring) == pytest.approx(math.pi * 9, rel=1e-6)
    assert len(ring) < 150


def test_a_spline_encloses_what_its_integral_says():
    """Area by Gauss-Legendre, which is exact for the polynomials of each span."""
    points = [(0, 0), (10, -3), (14, 6), (8, 12), (1, 9), (-3, 4), (0, 0)]
    tool = BSpline(Vec3.list(points), order=4)
    at, weight = np.polynomial.legendre.leggauss(6)
    exact = 0.0
    knots = np.unique(tool.knots())
    for start, end in pairwise(knots):
        for t, w in zip((start + end) / 2 + at * (end - start) / 2, weight, strict=True):
            place, speed = tool.derivative(t, n=1)
            exact += (place.x * speed.y - place.y * speed.x) / 2 * w * (end - start) / 2
    assert area(dxf_curves.spline(tool)) == pytest.approx(exact, rel=1e-6)


def test_a_closed_spline_through_points_is_smooth_all_round():
    """Against the periodic cubic of equal steps, solved whole: M = solve(4, 1, 1; 6 Δ²p)."""
    turn = np.arange(8) * math.tau / 8
    fit = np.column_stack([10 * np.cos(turn), 10 * np.sin(turn)])  # equal chords
    n = len(fit)
    matrix = 4 * np.eye(n) + np.roll(np.eye(n), 1, axis=1) + np.roll(np.eye(n), -1, axis=1)
    second = np.linalg.solve(
        matrix, 6 * (np.roll(fit, -1, axis=0) - 2 * fit + np.roll(fit, 1, axis=0))
    )
    t = np.linspace(0, 1, 2001)[:-1, None]
    parts = [
        (1 - t) * fit[i]
        + t * fit[(i + 1) % n]
        + ((1 - t) ** 3 - (1 - t)) * second[i] / 6
        + (t**3 - t) * second[(i + 1) % n] / 6
        for i in range(n)
    ]
    ring = dxf_curves.through(Vec3.list(fit), closed=True)
    assert area(ring) == pytest.approx(area(np.vstack(parts)), rel=1e-5)
    again = dxf_curves.through(Vec3.list([*fit, fit[0]]), closed=True)
    assert area(again) == pytest.approx(area(ring), rel=1e-12)


def test_kept_gives_back_what_chords_lose_and_leaves_the_ends():
    turn = np.linspace(0, math.pi / 2, 10 * 8 + 1)
    fine = np.column_stack([np.cos(turn), np.sin(turn), np.zeros_like(turn)])
    corners = dxf_curves.kept(fine, 8)
    assert area([(0, 0, 0), *corners]) == pytest.approx(math.pi / 4, rel=1e-5)
    assert area([(0, 0, 0), *fine[::8]]) < 0.9965 * math.pi / 4  # as chords are
    assert (corners[[0, -1]] == fine[[0, -1]]).all()
    assert dxf_curves.kept(fine[:9], 8).tolist() == fine[[0, 8]].tolist()
    assert shapely.LineString(corners).is_simple
