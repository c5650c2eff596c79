"""Slopes by heights: whom to trust, and what noise must not do."""

import numpy as np
import pytest
import shapely

from lawnmap.found import Heights
from lawnmap.geometry.slope import degrees_of, ground_factor
from lawnmap.jobs.features import take
from lawnmap.jobs.reading import Reading
from lawnmap.processing.ground import LEAST_COVER, ground
from lawnmap.processing.measure import measure
from tests.processing.sites import EMPTY, FRAME, box, found

SIGMAS = {"tape": 0.05}


def site(*features):
    return take(EMPTY, found(*features), Reading()).site


def cells(height, cell=0.5, side=60, noise=0.0, seed=1):
    """Return a grid of heights from 5 m west and south of the frame, rows from the north."""
    row, column = np.indices((side, side))
    x, y = column * cell - 5, (side - 1 - row) * cell - 5
    z = height(x, y) + np.random.default_rng(seed).normal(0, noise, x.shape)
    lonlat = FRAME.to_lonlat(np.column_stack([x.ravel(), y.ravel()]))
    return Heights(np.column_stack([lonlat, z.ravel()]), x.shape)


def spots(height, *xy):
    places = np.array(xy, dtype=float)
    return Heights(np.column_stack([FRAME.to_lonlat(places), height(*places.T)]))


def zone_of(heights, shape=None, **facts):
    """Return the one zone, 20 m square, measured with heights."""
    new = site((shape or box(0, 0, 20, 20), {"zone_id": "a", **facts}))
    return measure(new.zones, new.features, SIGMAS, heights).zones.loc["a"]


def fall(rise):
    return lambda x, y: 30 + rise * x


def test_heights_go_before_eyes_and_eyes_before_level():
    zones = site(
        (box(0, 0, 20, 20), {"zone_id": "covered", "slope_seen_deg": 3}),
        (box(60, 0, 80, 20), {"zone_id": "seen", "slope_seen_deg": 12}),
        (box(90, 0, 99, 20), {"zone_id": "bare"}),
    ).zones
    lawn = np.asarray(zones.geometry.array, dtype=object)
    seen = zones["slope_seen_deg"].to_numpy(dtype=float)
    table = ground(seen, lawn, cells(fall(0.2)))
    assert table.slope_source.tolist() == ["heights", "seen", "level"]
    assert table.slope_deg.tolist() == pytest.approx([11.3099, 12, 0], abs=1e-3)  # atan(0.2)
    assert table.slope_most_deg.tolist() == pytest.approx([11.3099, 12, 0], abs=1e-3)
    assert table.heights_cover_pct.tolist() == pytest.approx([100, 0, 0])
    assert zones["slope_seen_deg"].tolist()[:2] == [3, 12]  # the fact stays
    without = ground(seen, lawn)
    assert without.slope_source.tolist() == ["seen", "seen", "level"]
    assert np.isnan(without.heights_cover_pct).all()


@pytest.mark.parametrize("reach", [15.9, 16.5])
def test_a_zone_needs_four_fifths_under_heights(reach):
    heights = spots(fall(0.3), (0, 0), (reach, 0), (reach, 20), (0, 20), (reach / 2, 10))
    zone = zone_of(heights)
    assert zone["heights_cover_pct"] == pytest.approx(100 * reach / 20, abs=0.01)
    assert zone["slope_source"] == ("heights" if reach / 20 >= LEAST_COVER else "level")


@pytest.mark.parametrize("rise", [0.0, 0.1, 0.4])
@pytest.mark.parametrize("noise", [0.0, 0.02, 0.1])
def test_noise_adds_nothing_to_a_plane(rise, noise):
    """0.1 m of noise in cells of 0.5 m would add 7 % to level ground."""
    zone = zone_of(cells(fall(rise), noise=noise))
    true = 400 * np.sqrt(1 + rise**2)
    assert zone["ground_area_m2"] == pytest.approx(true, rel=5e-4)
    assert zone["slope_source"] == "heights"


@pytest.mark.parametrize(
    ("noise", "most_of_area", "off_deg"),
    [(0.0, 0.001, 0.5), (0.02, 0.004, 2.0), (0.05, 0.012, 4.0)],
)
def test_noise_adds_little_to_waves(noise, most_of_area, off_deg):
    """Against the length of the wave by fine steps, times its breadth.

    What is smoothed away with the noise is a part of waves as short as 10 m.
    """

    def waves(x, y):
        return 30 + 0.8 * np.sin(2 * np.pi * x / 10)

    x = np.linspace(0, 20, 200_001)
    true = 20 * np.hypot(np.diff(x), np.diff(waves(x, 0))).sum()
    zone = zone_of(cells(waves, noise=noise))
    assert true == pytest.approx(424.2, abs=0.1)  # 400 (1 + a²/4 - 3a⁴/64 + …), a = 0.16 π
    assert zone["ground_area_m2"] == pytest.approx(true, rel=most_of_area)
    assert zone["slope_most_deg"] == pytest.approx(np.degrees(np.arctan(0.16 * np.pi)), abs=off_deg)


def test_a_ridge_of_spot_heights_is_exact():
    """Two planes of 1 in 4 that meet at x = 10: both stretch by √(1 + 1/16)."""

    def ridge(x, y):
        return 30 - 0.25 * np.abs(x - 10)

    xy = [(x, y) for x in (0, 5, 10, 15, 20) for y in (0, 5, 10, 15, 20)]
    zone = zone_of(spots(ridge, *xy))
    assert zone["ground_area_m2"] == pytest.approx(400 * np.sqrt(1.0625), rel=1e-5)
    assert zone["slope_deg"] == pytest.approx(14.0362, abs=1e-3)
    assert zone["slope_most_deg"] == pytest.approx(14.0362, abs=1e-3)


def test_the_slope_is_that_of_the_ground_area_and_the_greatest_stands_beside_it():
    """Half level, half at 1 in 2: the area is the mean of both, and steeper than the mean angle."""

    def half(x, y):
        return 30 + 0.5 * np.maximum(x - 10, 0)

    zone = zone_of(spots(half, *[(x, y) for x in (0, 5, 10, 15, 20) for y in (0, 10, 20)]))
    true = 200 + 200 * np.sqrt(1.25)
    assert zone["ground_area_m2"] == pytest.approx(true, rel=1e-5)
    assert ground_factor(zone["slope_deg"]) == pytest.approx(true / 400, rel=1e-5)
    assert zone["slope_most_deg"] == pytest.approx(26.5651, abs=1e-3)
    assert 13.3 < zone["slope_deg"] < 26.5


def test_the_lawn_counts_and_not_its_beds():
    """A mound within a bed is not of the lawn."""

    def mound(x, y):
        return 30 + np.maximum(3 - np.hypot(x - 10, y - 10), 0)

    new = site((box(0, 0, 20, 20), {"zone_id": "a"}), (box(6, 6, 14, 14), {"feature": "bed"}))
    zone = measure(new.zones, new.features, SIGMAS, cells(mound)).zones.loc["a"]
    assert zone["ground_area_m2"] == pytest.approx(400 - 64, rel=1e-4)
    assert zone["slope_most_deg"] == pytest.approx(0, abs=0.1)


def test_triangles_do_not_bridge_ground_without_heights():
    """Heights on lawns 60 m apart say nothing of the one between."""
    near = [(x, y) for x in (0, 5, 10) for y in (0, 5, 10)]
    heights = spots(fall(0.1), *near, *[(x + 70, y) for x, y in near])
    assert zone_of(heights, box(30, 0, 50, 10))["slope_source"] == "level"
    assert zone_of(heights, box(1, 1, 9, 9))["slope_source"] == "heights"


def test_slivers_along_the_edge_do_not_make_it_steep():
    """Heights along an edge, 2 cm off the line, with errors of 2 cm."""
    chance = np.random.default_rng(4)
    xy = [(x, 20 * edge + 0.02 * (x % 2)) for x in range(21) for edge in (0, 1)]
    level = spots(lambda x, y: 30 + chance.normal(0, 0.02, len(x)), *xy, (10, 10), (4, 11), (15, 9))
    zone = zone_of(level)
    assert zone["ground_area_m2"] == pytest.approx(400, rel=1e-4)
    assert zone["slope_most_deg"] < 1


@pytest.mark.parametrize(
    "points",
    [
        np.zeros((12, 3)),
        [[0.1 * k, 0.1 * k, 1.0] for k in range(12)],
        [[-1.55, 53.8, 1.0]] * 12,
        [[(-1) ** k * 179.0, (-1) ** k * 89.0 + k / 100, k] for k in range(12)],
    ],
)
@pytest.mark.parametrize("shape", [None, (3, 4), (1, 12)])
def test_heights_that_are_no_surface_are_not_used(points, shape):
    zone = zone_of(Heights(np.array(points, dtype=float), shape), slope_seen_deg=4)
    assert (zone["slope_source"], zone["slope_deg"]) == ("seen", 4)


def test_a_zone_that_is_all_bed_has_no_slope_by_heights():
    new = site((box(0, 0, 20, 20), {"zone_id": "a"}), (box(-1, -1, 21, 21), {"feature": "bed"}))
    zone = measure(new.zones, new.features, SIGMAS, cells(fall(0.1))).zones.loc["a"]
    assert (zone["ground_area_m2"], zone["slope_source"]) == (0, "level")


def test_no_zones_at_all():
    found = ground(np.zeros(0), np.array([], dtype=object), cells(fall(0.1)))
    assert [len(each) for each in found] == [0, 0, 0, 0]
    assert found._fields == ("slope_deg", "slope_most_deg", "slope_source", "heights_cover_pct")


def test_a_turned_grid_in_its_own_place():
    heights = cells(fall(0.2))
    turn = np.radians(30)
    metres = FRAME.to_metres(heights.points[:, :2])
    metres = metres @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    turned = Heights(
        np.column_stack([FRAME.to_lonlat(metres), heights.points[:, 2]]), heights.shape
    )
    ring = shapely.affinity.rotate(shapely.box(0, 0, 20, 20), 30, (0, 0)).exterior.coords
    shape = {"type": "Polygon", "coordinates": [FRAME.to_lonlat(np.array(ring)).tolist()]}
    zone = zone_of(turned, shape)
    assert zone["slope_deg"] == pytest.approx(11.3099, abs=1e-3)
    assert zone["heights_cover_pct"] == pytest.approx(100)


@pytest.mark.parametrize(("factor", "slope"), [(1.0, 0), (1.06418, 20), (2, 60), (0.999, 0)])
def test_the_slope_of_a_factor(factor, slope):
    """1.06418 for 20°: the table of factors, derived by 1/cos."""
    assert degrees_of(factor) == pytest.approx(slope, abs=1e-3)
