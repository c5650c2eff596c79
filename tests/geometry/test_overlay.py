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


def by_hand(zone, others):
    """Return the area left of a zone when others are taken one after another."""
    for other in others:
        zone = shapely.difference(zone, other)
    return zone


def test_many_zones_at_once_are_as_each_by_hand():
    # Beds that lap over each other, over the edge, that share a side, and a ring of a bed.
    rng = np.random.default_rng(4)
    zones, beds, owner = [], [], []
    for place in range(60):
        east = 100.0 * place
        zones.append(box(east, 0, east + 20, 10))
        for _ in range(int(rng.integers(0, 5))):
            west, south = rng.integers(-2, 20), rng.integers(-2, 10)
            beds.append(box(east + west, south, east + west + 3, south + 2))
            owner.append(place)
    beds[0] = shapely.difference(box(2, 2, 8, 8), box(4, 4, 6, 6))
    zones, beds, owner = np.array(zones), np.array(beds), np.array(owner)
    alone = np.array([by_hand(zone, beds[owner == place]) for place, zone in enumerate(zones)])
    assert areas(overlay.without(zones, beds)) == pytest.approx(areas(alone), rel=1e-9)


def test_a_wrong_shape_of_geos_is_done_again_on_a_grid(monkeypatch):
    zones, bed = np.array([box(0, 0, 20, 10), box(50, 0, 70, 10)]), box(5, 5, 9, 9)
    right = shapely.difference

    def wrong(zone, other, grid_size=None):
        found = right(zone, other, grid_size=grid_size)
        return np.array([zones[0]]) if grid_size is None else found

    monkeypatch.setattr(shapely, "difference", wrong)
    assert areas(overlay.without(zones, np.array([bed]))) == pytest.approx([184, 200], abs=0.003)


def test_zones_and_obstacles_of_another_site_are_of_no_account():
    zones = np.array([box(0, 0, 20, 10), box(18, 0, 40, 10), box(19, 0, 21, 10)])
    sites = np.array([7, 3, 7])
    (pair,) = overlay.overlaps(zones, sites)
    assert pair[:2] == (0, 2)
    beds = np.array([box(2, 2, 6, 6), box(19, 4, 20, 6)])
    lawn = overlay.without(zones, beds, sites, np.array([3, 7]))
    assert areas(lawn) == pytest.approx([200 - 2, 220, 20 - 2], abs=0.003)
    assert overlay.overlaps(zones, np.array([1, 2, 3])) == []


def test_what_nothing_is_taken_from_comes_back_as_it_is():
    zones = np.array([box(0, 0, 20, 10)])
    assert overlay.without(zones, np.array([box(50, 0, 60, 10)])) is zones
    assert overlay.counted_once(zones, []) is zones


@pytest.mark.parametrize("most", [1, 64])
def test_pairs_of_a_site_are_those_of_the_tree(monkeypatch, most):
    monkeypatch.setattr(overlay, "MANY", most)
    rng = np.random.default_rng(6)
    west, south = rng.uniform(0, 40, (2, 60))
    zones = np.array([box(x, y, x + 6, y + 5) for x, y in zip(west, south, strict=True)])
    sites = rng.integers(0, 8, 60)
    found = overlay.overlaps(zones, sites)
    assert found == [pair for pair in overlay.overlaps(zones) if sites[pair[0]] == sites[pair[1]]]
    assert len(found) > 10


def test_where_shapes_merely_touch_there_is_no_ground():
    corner = shapely.GeometryCollection([shapely.Point(0, 0), shapely.box(0, 0, 1, 1)])
    edge = shapely.LineString([(0, 0), (1, 0)])
    empty = shapely.GeometryCollection()
    found = overlay.polygons_only(np.array([corner, edge, empty, shapely.box(2, 0, 3, 1)]))
    assert shapely.get_type_id(found).tolist() == [3, 3, 3, 3]
    assert shapely.area(found).tolist() == [1, 0, 0, 1]
