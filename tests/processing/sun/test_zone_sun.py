"""Hours of sun through the whole path: features and zones in, hours out."""

import datetime as dt

import numpy as np
import pytest
import shapely
from shapely import Point, box

from lawnmap.geometry.frame import Frame
from lawnmap.geometry.sunlight.points import level
from lawnmap.processing.sun.levels import Levels
from lawnmap.processing.sun.positions import sky
from lawnmap.processing.sun.standing import standing
from lawnmap.processing.sun.zone_sun import Spell, _convergence, hours_at
from tests.processing.sun.garden import (
    EQUINOX,
    LEEDS,
    SEASON,
    SUMMER,
    WINTER,
    building,
    dot,
    feature,
    hours,
    on,
    plane_heights,
    site,
    sunlight,
    tree,
    zone,
)

WALL_M = 6.0


def wall(y, frame=LEEDS):
    """Return an E–W wall that begins at y and has no end a shadow could pass."""
    return building(box(-3000, y - 1, 3000, y), WALL_M, frame)


@pytest.mark.parametrize(
    ("day", "times", "expected"),
    [  # geo.md 5.5: a wall of height H to the south at a distance of so many H, 53.8° N
        (EQUINOX, 1.0, 0.32), (EQUINOX, 2.0, 12.12), (SUMMER, 1.0, 17.02), (WINTER, 1.0, 0.00),
    ],
)  # fmt: skip
def test_a_wall_to_the_south(day, times, expected):
    made = site(dot(0, 0), wall(-times * WALL_M))
    assert hours(made, on(day))["a"] == pytest.approx(expected, abs=0.05)


def test_the_reach_of_a_shadow_at_the_equinox_is_that_of_the_latitude():
    # geo.md 5.5: at declination 0 the tip moves on a line H·tan(latitude) north of the wall.
    reach = WALL_M * np.tan(np.radians(53.8))
    made = site(dot(0, reach * 1.05, "out"), dot(0, reach * 0.95, "in"), wall(0))
    found = hours(made, on(EQUINOX))
    assert found["out"] > 11.5
    assert found["in"] < 1.0


def test_the_southern_hemisphere_is_a_mirror():
    """A wall to the north at 53.8° S in December is one to the south at 53.8° N in June."""
    south = Frame(20.0, -53.8)
    north_of = building(box(-3000, 2 * WALL_M, 3000, 2 * WALL_M + 1), WALL_M, south)
    south_of = building(box(-3000, -2 * WALL_M - 1, 3000, -2 * WALL_M), WALL_M, south)
    found = hours(site(dot(0, 0, "a", south), north_of), on(dt.date(2026, 6, 21)))
    mirrored = hours(site(dot(0, 0), wall(-2 * WALL_M)), on(WINTER))
    assert found["a"] == pytest.approx(mirrored["a"], abs=0.1)
    free = hours(site(dot(0, 0, "a", south), south_of), on(dt.date(2026, 6, 21)))
    assert free["a"] > 6


@pytest.mark.parametrize(
    ("place", "expected"), [((0, 0.5), 0.92), ((0, 5.5), 7.15), ((0, 15.5), 11.98)]
)
def test_points_north_of_a_building(place, expected):
    """geo.md 5.4: 10 by 8 m, 6 m high, the sun above half a degree, by minutes."""
    made = site(dot(*place), building(box(-5, -8, 5, 0), 6.0))
    way = sky(LEEDS.longitude, LEEDS.latitude, EQUINOX, EQUINOX)
    high = way.elevation_deg > 0.5
    cut = way._replace(
        azimuth_deg=way.azimuth_deg[high],
        elevation_deg=way.elevation_deg[high],
        day=way.day[high],
    )
    around = standing(made.features, LEEDS, Levels(None, LEEDS))
    found = hours_at(level(np.array([place], dtype=float)), cut, around, LEEDS)
    assert found[0] == pytest.approx(expected, abs=0.1)


def test_the_frame_turns_against_true_north_away_from_its_anchor():
    """Against pyproj's transverse Mercator about the same anchor."""
    pyproj = pytest.importorskip("pyproj")
    frame = Frame(0.0, 53.8)
    xyz = np.array([[4000.0, 3000.0, 0.0]])
    lon, lat = frame.to_lonlat(xyz[:, :2])[0]
    mercator = pyproj.Proj(proj="tmerc", lat_0=53.8, lon_0=0.0, ellps="WGS84")
    expected = mercator.get_factors(lon, lat).meridian_convergence
    assert _convergence(xyz, frame) == pytest.approx(expected, abs=1e-3)
    assert _convergence(np.zeros((1, 3)), frame) == pytest.approx(0, abs=1e-6)


def test_hours_do_not_depend_on_the_frame():
    """A point 2 km east of the anchor, whose frame is turned, has the hours of its own frame."""
    far = np.array([[2000.0, 0.0]])
    own = Frame(*LEEDS.to_lonlat(far)[0])
    made = site(building(box(-5, -8, 5, 0), 6.0, own))
    way = sky(own.longitude, own.latitude, EQUINOX, EQUINOX)
    here = standing(made.features, own, Levels(None, own))
    there = standing(made.features, LEEDS, Levels(None, LEEDS))
    one = hours_at(level(np.array([[2.0, 4.0]])), way, here, own)
    place = LEEDS.to_metres(own.to_lonlat(np.array([[2.0, 4.0]])))
    other = hours_at(level(place), way, there, LEEDS)
    assert one[0] == pytest.approx(other[0], abs=0.02)


def test_a_crown_lets_more_through_when_it_is_bare():
    made = site(dot(0, 2), tree(0, 0, crown_base_m=0))
    evergreen = site(dot(0, 2), tree(0, 0, crown_base_m=0, leaf="evergreen"))
    summer, winter = (hours(made, on(day))["a"] for day in (SUMMER, WINTER))
    assert summer < 0.04 * 17.1  # 3 % of the day
    assert winter == pytest.approx(0.46 * 7.33, abs=0.1)
    assert hours(evergreen, on(WINTER))["a"] < 0.06 * 7.4


def test_days_in_leaf_and_bare_are_counted_apart():
    """Over a range with both, the mean is that of its days."""
    made = site(dot(0, 2), tree(0, 0, crown_base_m=0))
    first, last = dt.date(2026, 4, 20), dt.date(2026, 4, 29)  # in leaf from the 25th
    each = [hours(made, on(first + dt.timedelta(days=n)))["a"] for n in range(10)]
    assert each[0] > 5 * each[-1]
    both = hours(made, Spell(first, last, season=False))["a"]
    assert both == pytest.approx(np.mean(each), abs=0.02)


def test_low_sun_passes_under_a_crown():
    under = site(dot(0, 2), tree(0, 0, crown_base_m=4))
    found = hours(under, on(SUMMER))["a"]
    assert 4 < found < 12


def test_a_hedge_and_a_fence_drawn_as_lines_throw_shadows():
    line = shapely.LineString([(-50, -1), (50, -1)])
    open_h = hours(site(dot(0, 0)), on(WINTER))["a"]
    for kind in ("hedge", "fence"):
        made = site(dot(0, 0), feature(line, feature=kind, height_m=2))
        assert hours(made, on(WINTER))["a"] < 1 < open_h


def test_what_has_no_height_is_left_out_and_named():
    made = site(
        zone(box(0, 0, 4, 4)),
        feature(box(0, -5, 4, -1), feature="building", name="Shed"),
        feature(Point(2, 2), feature="tree", name="Ash", height_m=9),
        tree(6, 6, crown_base_m=20, name="Odd"),
        tree(9, 9, leaf=None, crown_base_m=None, name="Elm"),
    )
    found = sunlight(made, on(EQUINOX))
    (left_out, *others) = found.told
    assert "building Shed (no height)" in left_out
    assert "tree Ash (no crown radius)" in left_out
    assert "tree Odd (its crown begins above its top)" in left_out
    assert any("tree Elm has no crown base" in each for each in others)
    assert any("tree Elm is not known to be evergreen" in each for each in others)


def test_open_ground_has_the_whole_day_in_every_part():
    found = sunlight(site(zone(box(0, 0, 10, 10))), SEASON)
    lawn = found.zones["a"]
    assert [lawn.mean_h, lawn.low_h, lawn.high_h] == pytest.approx([found.open_h] * 3)
    assert lawn.points == pytest.approx(400, abs=45)
    assert found.latitude == pytest.approx(53.8, abs=0.001)


def test_tenths_tell_the_dark_side_from_the_light():
    made = site(zone(box(-5, 0, 5, 20)), building(box(-8, -8, 8, -0.2), 6))
    lawn = sunlight(made, SEASON).zones["a"]
    assert lawn.low_h < lawn.mean_h - 1.5 < lawn.mean_h < lawn.high_h


def test_a_map_is_north_up_and_clear_off_the_lawn():
    made = site(zone(box(-5, 0, 5, 20)), building(box(-8, -8, 8, -0.2), 6))
    (sun,) = sunlight(made, SEASON, 1.0).maps
    west, south, east, north = made.zones.total_bounds
    assert sun.bounds[0] == pytest.approx(west)
    assert sun.bounds[3] == pytest.approx(north)
    assert sun.bounds[2] >= east
    assert sun.bounds[1] <= south
    known = np.isfinite(sun.cells)
    assert known.sum() == pytest.approx(200, abs=25)
    assert np.nanmean(sun.cells[0]) > np.nanmean(sun.cells[-2])


def test_points_under_a_roof_are_no_lawn():
    roof = feature(shapely.LineString([(0, -1), (0, 11)]), feature="hedge", height_m=2)
    made = site(zone(box(-5, 0, 5, 10)), roof)
    low = sunlight(made, on(SUMMER)).zones["a"].low_h
    assert low > 1  # none of the points stands in the hedge


def test_a_slope_that_falls_north_loses_the_low_sun_of_winter():
    level_h, north, south = (
        hours(site(zone(box(-5, -5, 5, 5)), heights=heights), on(WINTER))["a"]
        for heights in (None, plane_heights(15, 0), plane_heights(15, 180))
    )
    assert level_h == pytest.approx(7.33, abs=0.1)
    assert north == pytest.approx(0, abs=0.05)  # the noon sun stands at 12.8°
    assert south == pytest.approx(level_h, abs=0.05)


def test_an_obstacle_stands_on_its_own_ground():
    """Down the slope from a wall its top is as much higher as the ground falls."""
    made = [
        site(zone(box(-2, 9, 2, 11)), building(box(-60, -1, 60, 0), 6), heights=heights)
        for heights in (None, plane_heights(10, 0), plane_heights(10, 180))
    ]
    flat, below, above = (hours(each, on(EQUINOX))["a"] for each in made)
    assert below < flat - 1 < above


def test_a_slope_without_a_direction_is_taken_as_level_and_told():
    made = site(zone(box(0, 0, 5, 5), "bank", slope_seen_deg=15))
    found = sunlight(made, on(WINTER))
    assert found.zones["bank"].mean_h == pytest.approx(found.open_h)
    assert any("bank" in each and "falls" in each for each in found.told)


def test_a_day_without_sun_has_none():
    north = Frame(15.0, 78.0)
    found = sunlight(site(zone(box(0, 0, 5, 5), "a", north), tree(9, 0, north)), on(WINTER))
    assert (found.open_h, found.zones["a"].mean_h) == (0, 0)


def test_a_zone_between_two_points_of_the_grid_has_one_of_its_own():
    found = sunlight(
        site(zone(box(0, 0, 5, 0.2), "strip"), zone(box(0, 9, 5, 14))), on(SUMMER), 3.0
    )
    assert found.zones["strip"].points == 0
    assert found.zones["strip"].mean_h == pytest.approx(found.open_h)


def test_zones_far_apart_have_suns_of_their_own():
    far = Frame(-1.55, 51.0)
    made = site(dot(0, 0, "leeds"), dot(0, 0, "south", far), zone(box(0, 2, 5, 9), "near"))
    found = sunlight(made, on(WINTER))
    assert found.zones["leeds"].mean_h == pytest.approx(7.33, abs=0.05)
    assert found.zones["south"].mean_h == pytest.approx(7.85, abs=0.05)
    assert len(found.maps) == 2
