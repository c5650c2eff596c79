"""Tests of hours of sun, against closed forms, against shadows drawn as polygons, and by change."""

from __future__ import annotations

import os

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.geometry.sunlight.hours import sun_hours
from lawnmap.geometry.sunlight.obstacle import Obstacle
from lawnmap.geometry.sunlight.path import BINS, SunPath, fold
from lawnmap.geometry.sunlight.points import Points, level
from tests.geometry.sunlight.garden import LATITUDE_DEG, garden, lawn
from tests.geometry.sunlight.shadows import slow_hours
from tests.geometry.sunlight.sky import OBLIQUITY_DEG, day

LONG = os.environ.get("LAWNMAP_LONG") == "1"
COUNT = 600 if LONG else 60
EQUINOX = fold(day(LATITUDE_DEG, 0))
EVER = 1e7  # half the length of a wall without ends [m]


def wall(distance_m: float, height_m: float) -> Obstacle:
    """Return an east-west wall so far south of the point at the origin."""
    return Obstacle(shapely.box(-EVER, -distance_m - 0.2, EVER, -distance_m), -np.inf, height_m)


def hours_behind_a_wall(latitude_deg: float, declination_deg: float, high: float) -> float:
    """Return hours of sun at a point north of a wall `high` times as high as it is far.

    The wall hides the sun while it is in the south and tan(elevation) < -high cos(azimuth). With
    hour angle t both are of the form a + b cos t; so is sunrise (geo.md 5.5).
    """
    angle = np.linspace(-np.pi, np.pi, 200_001)
    lat, dec = np.radians([latitude_deg, declination_deg])
    up = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(angle)
    south = np.sin(lat) * np.cos(dec) * np.cos(angle) - np.cos(lat) * np.sin(dec)
    return float(24 * np.mean((up > 0) & ~((south > 0) & (up < high * south))))


@pytest.mark.parametrize("latitude", [51.0, 53.8, 56.0])
@pytest.mark.parametrize("declination", [-OBLIQUITY_DEG, -8.0, 8.0, OBLIQUITY_DEG])
def test_wall_takes_the_hours_of_the_closed_form(latitude, declination):
    sun = fold(day(latitude, declination, 1))
    origin = level(np.zeros((1, 2)))
    for high in (0.2, 0.5, 1.0, 1.5, 3.0):
        known = hours_behind_a_wall(latitude, declination, high)
        assert sun_hours(origin, sun, [wall(5.0, 5.0 * high)]) == pytest.approx(known, abs=0.05)


@pytest.mark.parametrize(("declination", "high"), [(0, 1), (0, 0.5), (23.44, 1), (-23.44, 1)])
def test_wall_of_the_reference_in_steps_of_two_minutes(declination, high):
    """The four cases of geo.md 5.5: the sun of an equinox and of both solstices at 53.8 N."""
    hours = sun_hours(
        level(np.zeros((1, 2))), fold(day(LATITUDE_DEG, declination)), [wall(3, 3 * high)]
    )
    assert hours == pytest.approx(hours_behind_a_wall(LATITUDE_DEG, declination, high), abs=0.05)


@pytest.mark.parametrize(("latitude", "reach"), [(51.0, 1.235), (53.8, 1.366), (56.0, 1.483)])
def test_shadow_of_a_wall_reaches_equally_far_all_of_an_equinox(latitude, reach):
    """At declination 0 it is H tan(latitude) from sunrise to sunset: geo.md 5.5."""
    sun = fold(day(latitude, 0))
    points = level(np.array([[0.0, 3 * reach - 0.1], [0.0, 3 * reach + 0.1]]))
    shaded, lit = sun_hours(points, sun, [wall(0.0, 3.0)])
    assert shaded == pytest.approx(0, abs=0.05)
    assert lit == pytest.approx(12, abs=0.05)


def test_building_has_the_sun_and_shade_of_the_reference():
    """Of geo.md 5.4: 20 March 2026, 53.8 N, the sun above half a degree, refracted."""
    path = day(LATITUDE_DEG, -0.05, air=True)
    sun = fold(SunPath(*(column[path.elevation_deg > 0.5] for column in path)))
    house = Obstacle(shapely.box(-5, -8, 5, 0), -np.inf, 6)
    points = level(np.array([[0, 0.5], [0, 5.5], [0, 15.5]]))
    assert sun_hours(points, sun, [house]) == pytest.approx([0.92, 7.15, 11.98], abs=0.1)


def test_grid_north_of_the_building_is_within_a_tenth_of_an_hour_of_its_shadows():
    house = [Obstacle(shapely.box(-5, -8, 5, 0), 0, 6)]
    x, y = np.meshgrid(np.arange(-15.0, 16), np.arange(0.5, 20))
    points = level(np.column_stack([x.ravel(), y.ravel()]))
    slow = slow_hours(points, day(LATITUDE_DEG, 0, 0.5), house)
    assert np.abs(sun_hours(points, EQUINOX, house) - slow).max() < 0.1


@pytest.mark.parametrize("declination", [-OBLIQUITY_DEG, 0.0, OBLIQUITY_DEG] if LONG else [8.0])
def test_garden_of_thirty_is_within_a_tenth_of_an_hour_of_its_shadows(declination):
    things, points = garden(), lawn(COUNT)
    slow = slow_hours(points, day(LATITUDE_DEG, declination, 1), things)
    fast = sun_hours(points, fold(day(LATITUDE_DEG, declination, 2)), things)
    assert np.sqrt(np.mean((fast - slow) ** 2)) < 0.04
    season = fold(day(LATITUDE_DEG, declination, 2), BINS)
    assert np.sqrt(np.mean((sun_hours(points, season, things) - slow) ** 2)) < 0.05
    assert slow.std() > 1


def test_finer_bins_come_nearer_to_the_shadows():
    things, points = garden(3, 10), lawn(COUNT)
    slow = slow_hours(points, day(LATITUDE_DEG, 5, 2), things)
    far = [
        np.sqrt(
            np.mean((sun_hours(points, fold(day(LATITUDE_DEG, 5, 2), bins), things) - slow) ** 2)
        )
        for bins in (90, 360, 2880)
    ]
    assert far[0] > far[1] > far[2]
    assert far[2] < 0.02


def test_crown_dims_the_sun_in_its_band_and_lets_it_in_below():
    """A ring of crown all round: the sun at 10° comes under it, at 30° through it, at 60° over."""
    ring = shapely.Point(0, 0).buffer(12, 32).difference(shapely.Point(0, 0).buffer(8, 32))
    sun = fold(SunPath(np.array([90.0, 120, 180]), np.array([10.0, 30, 60]), np.ones(3)))
    crown = Obstacle(ring, 3, 8, 0.25)
    assert sun_hours(level(np.zeros((1, 2))), sun, [crown]) == pytest.approx([1 + 0.25 + 1])


def test_point_under_a_crown_has_the_sun_that_comes_in_from_the_side():
    disc = shapely.Point(0, 0).buffer(4, 32)
    sun = fold(SunPath(np.array([90.0, 180, 270]), np.array([20.0, 40, 89]), np.ones(3)))
    points = level(np.zeros((1, 2)))
    assert sun_hours(points, sun, [Obstacle(disc, 2, 9, 0.5)]) == pytest.approx([2])
    assert sun_hours(points, sun, [Obstacle(disc, 2, 9)]) == pytest.approx([1])
    assert sun_hours(points, sun, [Obstacle(disc, 0, 9)]) == pytest.approx([0])


def test_shares_of_bands_one_behind_the_other_multiply():
    boxes = [shapely.box(-1, y, 1, y + 1) for y in (-4, -6, -8)]
    sun = fold(SunPath(np.array([180.0]), np.array([20.0]), np.ones(1)))
    bands = [Obstacle(box, 0, 9, share) for box, share in zip(boxes, (0.5, 0.4, 0.3), strict=True)]
    points = level(np.zeros((1, 2)))
    assert sun_hours(points, sun, bands[:2]) == pytest.approx([0.2])
    assert sun_hours(points, sun, bands) == pytest.approx([0.06])
    assert sun_hours(points, sun, [*bands, wall(20, 50)]) == pytest.approx([0])


def test_ground_that_falls_north_has_no_sun_below_its_plane():
    sun = fold(SunPath(np.array([180.0, 180, 0]), np.array([10.0, 30, 10]), np.array([1.0, 2, 4])))
    points = Points(
        np.zeros((4, 3)), np.array([20.0, 20, 0, 20]), np.array([0, 180, np.nan, np.nan])
    )
    assert sun_hours(points, sun, []).tolist() == [6, 3, 7, 7]


def test_lower_ground_sees_a_wall_higher_and_one_above_sees_over_it():
    points = Points(np.array([[0, 0, 0], [0, 0, 2.5], [0, 0, -3.0]]), np.zeros(3), np.zeros(3))
    sun = fold(SunPath(np.array([180.0]), np.array([45.0]), np.ones(1)))
    assert sun_hours(points, sun, [wall(2, 3)]).tolist() == [0, 1, 0]
    # A shelf on legs: from the lowest point the sun comes under it, and not under the wall.
    shelf = wall(2, 3)._replace(base_m=0)
    assert sun_hours(points, sun, [shelf]) == pytest.approx([0, 1, 1])


def test_horizon_of_the_land_is_one_more_wall():
    points = level(np.array([[0.0, 0.0], [1.0, 1.0]]))
    horizon = np.zeros((2, len(EQUINOX.bearing_deg)), dtype=np.float32)
    horizon[1] = np.inf
    before = horizon.copy()
    assert sun_hours(points, EQUINOX, [], horizon) == pytest.approx([12, 0], abs=0.05)
    assert np.array_equal(horizon, before)


def test_nothing_around_no_points_and_no_sun():
    assert sun_hours(level(np.zeros((2, 2))), EQUINOX, []) == pytest.approx(EQUINOX.total_h)
    assert len(sun_hours(level(np.zeros((0, 2))), EQUINOX, [wall(1, 1)])) == 0
    night = fold(day(85, -20))
    assert sun_hours(level(np.zeros((2, 2))), night, garden(1, 5)).tolist() == [0, 0]


def test_blocks_are_of_no_account(monkeypatch):
    points, things = lawn(50), garden(1, 10)
    whole = sun_hours(points, EQUINOX, things)
    monkeypatch.setattr("lawnmap.geometry.sunlight.hours.BLOCK", 1)
    assert np.allclose(sun_hours(points, EQUINOX, things), whole)


METRES = st.integers(-60, 60).map(lambda quarter: quarter / 4)
HEIGHTS = st.integers(0, 48).map(lambda quarter: quarter / 4)
SHARES = st.sampled_from([0.0, 0.2, 0.5, 0.9, 1.0])


@st.composite
def obstacles(draw) -> Obstacle:
    """Return a box, a disc or an L, on whole quarters of metres so that edges and points meet."""
    x, y = draw(METRES), draw(METRES)
    wide, deep = draw(st.integers(1, 24)) / 4, draw(st.integers(1, 24)) / 4
    box = shapely.box(x, y, x + wide, y + deep)
    corner = shapely.box(x, y, x + wide / 2, y + deep / 2)
    disc = shapely.Point(x, y).buffer(wide, 4)
    base, more = draw(HEIGHTS), draw(HEIGHTS)
    shape = draw(st.sampled_from([box, box.difference(corner), disc]))
    return Obstacle(shape, base, base + more, draw(SHARES))


GARDENS = st.lists(obstacles(), max_size=5)
POINTS = st.lists(st.tuples(METRES, METRES), min_size=1, max_size=8).map(
    lambda xy: level(np.array(xy), 1.0)
)
COARSE = fold(day(LATITUDE_DEG, 10, 10), 72)
CLOSE = 1e-9


@given(POINTS, GARDENS, obstacles())
def test_one_more_obstacle_never_adds_sun(points, things, more):
    before = sun_hours(points, COARSE, things)
    after = sun_hours(points, COARSE, [*things, more])
    assert (after <= before + CLOSE).all()
    assert ((after >= 0) & (before <= COARSE.total_h)).all()
    assert (after >= before * more.through - CLOSE).all()


@given(POINTS, GARDENS, obstacles(), HEIGHTS)
def test_raising_an_obstacle_or_lowering_its_base_never_adds_sun(points, things, one, more):
    before = sun_hours(points, COARSE, [*things, one])
    higher = sun_hours(points, COARSE, [*things, one._replace(top_m=one.top_m + more)])
    lower = sun_hours(points, COARSE, [*things, one._replace(base_m=one.base_m - more)])
    assert (higher <= before + CLOSE).all()
    assert (lower <= before + CLOSE).all()


@given(POINTS, GARDENS, obstacles())
def test_what_lets_all_sun_through_changes_nothing(points, things, one):
    clear = sun_hours(points, COARSE, [*things, one._replace(through=1.0)])
    assert np.array_equal(clear, sun_hours(points, COARSE, things))


@given(POINTS, GARDENS)
def test_order_and_company_are_of_no_account(points, things):
    together = sun_hours(points, COARSE, things)
    assert np.allclose(sun_hours(points, COARSE, things[::-1]), together, atol=CLOSE)
    alone = [
        sun_hours(Points(*(column[i : i + 1] for column in points)), COARSE, things)[0]
        for i in range(len(together))
    ]
    assert np.allclose(alone, together, atol=CLOSE)


@settings(max_examples=30)
@given(st.integers(1, 359), st.integers(0, 50))
def test_turning_all_by_whole_bins_changes_nothing(degrees, seed):
    path, things, points = day(LATITUDE_DEG, 10, 5), garden(seed, 8), lawn(10)
    turned_sun = path._replace(azimuth_deg=path.azimuth_deg + degrees)
    turned_things = [
        each._replace(footprint=shapely.affinity.rotate(each.footprint, -degrees, origin=(0, 0)))
        for each in things
    ]
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    turned = Points(
        np.column_stack([points.xyz[:, :2] @ [[c, -s], [s, c]], points.xyz[:, 2]]),
        points.slope_deg,
        points.aspect_deg + degrees,
    )
    before = sun_hours(points, fold(path), things)
    assert np.allclose(sun_hours(turned, fold(turned_sun), turned_things), before, atol=0.09)
