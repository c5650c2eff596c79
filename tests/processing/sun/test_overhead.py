"""Shade of what nobody mapped, from a grid of surface heights."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Point
from shapely import box as square

from lawnmap.errors import InputRefused
from lawnmap.found import Heights
from lawnmap.geometry.frame import Frame
from lawnmap.processing.sun.facts import SURFACE, changed, facts_of
from lawnmap.processing.sun.overhead import BESIDE, COUNTED, NO_GROUND, overhead
from tests.processing.sun.garden import (
    EQUINOX,
    LEEDS,
    SEASON,
    building,
    on,
    plane_heights,
    site,
    tree,
    zone,
)  # fmt: skip
from tests.processing.sun.surfaces import block, sunlight, surface

LAWN = square(-10, -8, 10, 12)
WALL = (-14, -12, 14, -10)  # edges through the middles of cells half a metre wide
GROUND = 100.0


def apart(one, other):
    """Return the RMS difference of two results' points [h]."""
    (first,), (second,) = one.maps, other.maps
    return float(np.sqrt(np.nanmean((first.cells - second.cells) ** 2)))


@pytest.mark.parametrize(("spell", "most"), [(on(EQUINOX), 0.1), (SEASON, 0.15)])
@pytest.mark.parametrize("turn_deg", [0, 90])
def test_a_wall_in_the_surface_is_the_wall_that_is_mapped(spell, most, turn_deg):
    mapped = sunlight(site(zone(LAWN), building(square(*WALL), 3)), spell)
    seen = surface(block(WALL, 3), turn_deg=turn_deg)
    found = sunlight(replace(site(zone(LAWN)), surface=seen), spell)
    assert apart(found, mapped) < most
    assert np.nanstd(mapped.maps[0].cells) > 0.3


def test_mapped_and_in_the_surface_counts_once():
    made = site(zone(LAWN), building(square(*WALL), 3))
    twice = sunlight(replace(made, surface=surface(block(WALL, 3))), on(EQUINOX))
    assert apart(twice, sunlight(made, on(EQUINOX))) < 0.1


def test_errors_of_a_survey_do_not_hide_the_low_sun():
    source = np.random.default_rng(7)
    rough = surface(lambda x, _: GROUND + 0.1 * source.standard_normal(x.shape), half=25)
    found = sunlight(replace(site(zone(LAWN)), surface=rough), on(EQUINOX))
    assert found.zones["a"].mean_h == pytest.approx(found.open_h, abs=0.05)


@pytest.mark.parametrize("slope_deg", [0, 8])
def test_a_tree_that_is_in_the_surface_alone_darkens_what_is_under_it(slope_deg):
    """The lawn is a plane also where a crown covers a third of it, heights of it known or not."""
    steep = np.tan(np.radians(slope_deg))

    def crown(x, y):
        return GROUND - steep * y + 9 * (np.hypot(x, y - 4) < 6)

    seen = surface(crown, half=30)
    made = site(zone(LAWN))
    measured = site(zone(LAWN), heights=plane_heights(slope_deg, 0))
    for each in (made, measured):
        ground = overhead(seen, each.heights, np.asarray(each.zones.geometry.array), LEEDS).ground
        places = np.array([[0.0, 4.0], [-8.0, -6.0]])
        assert ground.at(places) == pytest.approx(GROUND - steep * places[:, 1], abs=0.01)
    found = sunlight(replace(made, surface=seen), on(EQUINOX))
    (sun,) = found.maps
    assert np.nanmin(sun.cells) < 0.5
    assert np.nanmax(sun.cells) > 9
    assert COUNTED in found.told
    assert NO_GROUND in found.told
    assert NO_GROUND not in sunlight(replace(measured, surface=seen), on(EQUINOX)).told


def test_a_terrace_needs_heights_of_the_ground():
    """Half a lawn lies a metre and a half higher: with heights of it no ground is a wall."""
    step = lambda x, _: GROUND + 1.5 * (x > 0)
    seen = surface(step, half=20)
    x, y = (each.ravel() for each in np.meshgrid(np.arange(-20, 20.5, 0.5), np.arange(-20.0, 21)))
    known = Heights(np.column_stack([LEEDS.to_lonlat(np.column_stack([x, y])), step(x, y)]))
    made = site(zone(LAWN), heights=known)
    upper = sunlight(replace(made, surface=seen), on(EQUINOX)).maps[0].cells
    columns = upper.shape[1]
    assert np.nanmin(upper[:, columns // 2 + 2 :]) > 11  # on the upper half nothing is in the way


def test_the_rest_of_the_site_does_not_matter_to_the_frame():
    """A cluster's own frame lies elsewhere than the surface's."""
    other = Frame(LEEDS.longitude + 0.0005, LEEDS.latitude - 0.0003)
    seen = surface(block(WALL, 3), frame=LEEDS)
    lawn = np.asarray(site(zone(LAWN)).zones.geometry.array)
    cover = overhead(seen, None, lawn, other).cover
    row, column = np.argwhere(cover.heights > GROUND + 1)[0]
    place = np.array(cover.first) + np.array([column, row]) @ np.array(cover.steps)
    assert LEEDS.to_metres(other.to_lonlat(place[None, :]))[0] == pytest.approx(
        [-14, -10], abs=0.01
    )


def test_heights_of_another_survey_are_refused():
    made = site(zone(LAWN), heights=plane_heights(0, 0))  # at 100 m
    high = replace(made, surface=surface(block(WALL, 3, ground=147.0), half=20))
    with pytest.raises(InputRefused, match=r"lies 47\.0 m over .*one survey"):
        sunlight(high, on(EQUINOX))


def test_a_surface_that_ends_on_the_lawn_is_told():
    seen = surface(block(WALL, 3), half=5)
    assert BESIDE in sunlight(replace(site(zone(LAWN)), surface=seen), on(EQUINOX)).told
    beside = surface(block(WALL, 3), half=5, frame=Frame(LEEDS.longitude + 0.001, LEEDS.latitude))
    found = sunlight(replace(site(zone(LAWN)), surface=beside), on(EQUINOX))
    assert BESIDE in found.told
    assert found.zones["a"].mean_h == pytest.approx(found.open_h)


def test_hours_rest_on_the_surface():
    made = site(zone(LAWN), tree(0, 0))
    digest = lambda each: facts_of(each.zones, each.features, each.heights, each.surface)
    bare = digest(made)
    assert SURFACE not in bare  # what was kept before there were surfaces still holds
    one = digest(replace(made, surface=surface(block(WALL, 3), half=15)))
    other = digest(replace(made, surface=surface(block(WALL, 3.5), half=15)))
    for there, now in ((bare, one), (one, bare), (one, other)):
        assert changed(there, now) == [SURFACE]
    assert changed(one, one) == []


def test_a_zone_smaller_than_a_cell_has_a_ground():
    tiny = site(zone(Point(0, 0).buffer(0.3)))
    found = sunlight(replace(tiny, surface=surface(block(WALL, 3))), on(EQUINOX))
    assert 0 < found.zones["a"].mean_h < found.open_h + 1e-9
