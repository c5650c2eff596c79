"""Areas and perimeters against Karney's code, the GeographicLib documentation and handbooks."""

import numpy as np
import pyproj
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry import ellipsoid, rings, small_rings, wgs84

LATITUDES = (-70, -56, -51, -30, 0, 30, 51, 56, 70)


def random_lawn(rng, latitude, area_m2):
    """Return a star-shaped lawn of about `area_m2` as longitude and latitude."""
    n = int(rng.integers(3, 13))  # round-off of the reference itself grows with the corners
    angle = 2 * np.pi * (np.arange(n) + rng.uniform(0, 0.8, n)) / n
    reach = np.sqrt(area_m2 / np.pi) * rng.uniform(0.5, 1.3, n)
    north = reach * np.sin(angle) / 111_200
    east = reach * np.cos(angle) / 111_200 / np.cos(np.radians(latitude))
    return rng.uniform(-179.9, 179.9) + east, latitude + north


def karney(lon, lat):
    polygon = Geodesic.WGS84.Polygon()
    for x, y in zip(lon, lat, strict=True):
        polygon.AddPoint(y, x)
    _, perimeter, area = polygon.Compute()
    return abs(area), perimeter


def test_2000_lawns_agree_with_karney():
    # Reference: geographiclib (Karney 2013). Its own round-off reaches 7.5e-5 m² on small lawns.
    rng = np.random.default_rng(20261125)
    lawns = [random_lawn(rng, lat, rng.uniform(50, 5000)) for lat in LATITUDES for _ in range(223)]
    shapes = np.array([shapely.Polygon(np.column_stack(lawn)) for lawn in lawns], dtype=object)
    truth = np.array([karney(*lawn) for lawn in lawns])
    assert len(lawns) > 2000
    ours = ellipsoid.areas(shapes)
    assert (np.abs(ours - truth[:, 0]) <= 1e-4 + 1e-8 * truth[:, 0]).all()
    assert np.abs(ellipsoid.perimeters(shapes) / truth[:, 1] - 1).max() < 1e-9


def test_utm_square_of_the_geographiclib_manual():
    # GeographicLib Planimeter manual: UTM 18N, E 500000-600000, N 4400000-4500000 with geodesic
    # edges: perimeter 400139.532959 m, area 10007388597.2 m².
    to_lonlat = pyproj.Transformer.from_crs("EPSG:32618", "OGC:CRS84", always_xy=True)
    east, north = [5e5, 6e5, 6e5, 5e5], [44e5, 44e5, 45e5, 45e5]
    square = shapely.Polygon(np.column_stack(to_lonlat.transform(east, north)))
    assert ellipsoid.areas(np.array([square]))[0] == pytest.approx(10007388597.2, rel=2e-5)
    assert ellipsoid.perimeters(np.array([square]))[0] == pytest.approx(400139.533, rel=1e-5)


def test_constants_of_epsg_method_9820():
    # IOGP Guidance Note 7-2, Lambert azimuthal equal area: q_P 1.995531087, R_q 6371007.181 m.
    assert pytest.approx(1.995531087, abs=1e-9) == wgs84.Q_POLE
    assert pytest.approx(6371007.181, abs=1e-3) == wgs84.AUTHALIC_RADIUS


def test_web_map_overstates_by_the_published_factor():
    # A lawn of 20 x 50 m at 53° N is 1000.0 m² on the ellipsoid; see docs/measuring.md.
    lon = 20 / 67137.23 / 2  # metres per degree of longitude at 53° N
    lat = 50 / 111286.27 / 2
    lawn = shapely.box(-1 - lon, 53 - lat, -1 + lon, 53 + lat)
    assert ellipsoid.areas(np.array([lawn]))[0] == pytest.approx(1000.0, abs=0.002)


def test_a_hole_is_taken_out_and_parts_are_added():
    outer, hole = shapely.box(0, 51, 0.001, 51.001), shapely.box(0.0002, 51.0002, 0.0004, 51.0004)
    other = shapely.box(1, -51, 1.001, -50.999)
    pierced = shapely.Polygon(outer.exterior, [hole.exterior])
    a = ellipsoid.areas(
        np.array([outer, hole, other, pierced, shapely.MultiPolygon([pierced, other])])
    )
    assert a[3] == pytest.approx(a[0] - a[1], rel=1e-12)
    assert a[4] == pytest.approx(a[3] + a[2], rel=1e-12)


def test_across_the_antimeridian():
    here = shapely.box(178.999, -17, 179.001, -16.999)
    there = shapely.Polygon(
        [(179.999, -17), (-179.999, -17), (-179.999, -16.999), (179.999, -16.999)]
    )
    one, other = ellipsoid.areas(np.array([here, there]))
    assert other == pytest.approx(one, rel=1e-9)


def test_what_has_no_area():
    things = np.array(
        [shapely.Point(0, 51), shapely.LineString([(0, 51), (0, 51.001)]), shapely.Polygon()]
    )
    assert ellipsoid.areas(things).tolist() == [0, 0, 0]
    assert ellipsoid.areas(np.array([], dtype=object)).tolist() == []


def test_length_of_a_line_is_karneys():
    line = shapely.LineString([(-1.55, 53.8), (-1.549, 53.8005), (-1.548, 53.8001)])
    truth = sum(
        Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0])["s12"]
        for a, b in zip(line.coords, line.coords[1:], strict=False)
    )
    assert ellipsoid.perimeters(np.array([line]))[0] == pytest.approx(truth, rel=1e-9)


@given(
    st.floats(-179, 179),
    st.floats(-70, 70),
    st.floats(2, 60),
    st.integers(3, 30),
    st.integers(0, 29),
)
def test_area_does_not_depend_on_where_a_ring_starts_or_turns(lon, lat, radius, n, start):
    angle = 2 * np.pi * np.arange(n) / n
    ring = np.column_stack(
        [
            lon + radius * np.cos(angle) / 111_200 / np.cos(np.radians(lat)),
            lat + radius * np.sin(angle) / 111_200,
        ]
    )
    turned = np.roll(ring, start % n, axis=0)
    same = ellipsoid.areas(np.array([shapely.Polygon(r) for r in (ring, turned, ring[::-1])]))
    assert same == pytest.approx(same[0], rel=1e-9)


def test_batches_are_seamless(monkeypatch):
    rng = np.random.default_rng(1)
    lawns = np.array(
        [shapely.Polygon(np.column_stack(random_lawn(rng, 51, 500))) for _ in range(200)]
    )
    whole = ellipsoid.areas(lawns)
    monkeypatch.setattr(rings, "BATCH", 50)
    monkeypatch.setattr(rings, "OUTLINES", 30)
    assert (ellipsoid.areas(lawns) == whole).all()


@given(
    st.floats(-179, 179),
    st.floats(-88, 88),
    st.floats(0, 4.5),
    st.sampled_from([0.05, 0.4, 1.0]),
    st.integers(3, 12),
    st.floats(0, 6.28),
)
def test_from_a_metre_to_30_km_karney_agrees(lon, lat, size, slim, n, turn):
    # Reference: geographiclib. Its own round-off is some 1e-9 of the length of a metre's ring.
    angle = turn + 2 * np.pi * np.arange(n) / n
    reach = 10**size / 2
    north = slim * reach * np.sin(angle) / 111_200
    east = reach * np.cos(angle) / 111_200 / np.cos(np.radians(lat))
    truth, around = karney(lon + east, lat + north)
    shape = np.array([shapely.Polygon(np.column_stack([lon + east, lat + north]))])
    (area,), (perimeter,) = ellipsoid.measured(shape)
    assert abs(area - truth) <= 1e-4 + 1e-8 * max(truth, reach**2 / 10)
    assert perimeter == pytest.approx(around, rel=1e-9 + 2e-18 * (reach * 10) ** 2, abs=2e-8)


@given(st.floats(-84, 84), st.floats(0.3, 3), st.integers(3, 12))
def test_the_series_and_the_closed_form_meet(lat, share, n):
    reach = np.degrees(small_rings.MOST) * share
    angle = 2 * np.pi * np.arange(n) / n
    ring = np.column_stack([reach * np.cos(angle), lat + reach * np.sin(angle) / 2])
    ((_, taken),) = rings.batches(np.array([shapely.Polygon(ring)]))
    series = small_rings.small_sizes(taken)
    closed = ellipsoid.large_sizes(taken)
    # Beyond their limit the series are off by the square of by how far.
    assert series[0] == pytest.approx(closed[0], rel=3e-9 * max(share, 1) ** 2)
    assert series[1] == pytest.approx(closed[1], rel=2e-9 * max(share, 1) ** 2)


def test_large_rings_are_closer_to_karney_than_great_circles():
    # A quadrangle of 1 by 1 degree: the sides are geodesics and no parallels.
    lon, lat = np.array([0.0, 1, 1, 0]), np.array([50.0, 50, 51, 51])
    truth, around = karney(lon, lat)
    areas, perimeters = ellipsoid.measured([shapely.Polygon(np.column_stack([lon, lat]))])
    assert areas[0] == pytest.approx(truth, rel=1e-7)
    assert perimeters[0] == pytest.approx(around, rel=1e-7)


def test_near_the_pole_and_at_it():
    lon, lat = np.array([-135.0, -45, 45, 135]), np.full(4, 89.99)
    _, around = karney(lon, lat)
    square, wedge = (
        shapely.Polygon(np.column_stack([lon, lat])),
        shapely.Polygon([(0, 89.9), (1, 90), (2, 90), (3, 89.9)]),
    )
    areas, perimeters = ellipsoid.measured([square, wedge])
    assert perimeters[0] == pytest.approx(around, rel=1e-9)
    assert areas[1] == pytest.approx(karney([0, 1, 2, 3], [89.9, 90, 90, 89.9])[0], rel=1e-5)


def test_what_is_mixed_is_as_each_alone():
    hole = shapely.Polygon(
        shapely.box(0, 51, 0.001, 51.001).exterior,
        [shapely.box(0.0002, 51.0002, 0.0004, 51.0004).exterior],
    )
    large = shapely.box(0, 51, 1, 52)
    line = shapely.LineString([(0, 51), (0, 51.001)])
    shapes = [
        large,
        hole,
        shapely.Polygon(),
        shapely.box(5, 10, 5.0001, 10.0001),
        shapely.MultiPolygon([hole, shapely.box(1, 51, 1.001, 51.001)]),
        line,
        shapely.Point(0, 0),
        shapely.MultiLineString([line, line]),
        shapely.GeometryCollection([line, hole]),
    ]
    alone = np.column_stack([np.concatenate(ellipsoid.measured([each])) for each in shapes])
    assert np.array(ellipsoid.measured(np.array(shapes, dtype=object))) == pytest.approx(
        alone, rel=1e-12
    )
    assert alone[1, 7] == pytest.approx(2 * alone[1, 5])
    assert alone[:, 8].tolist() == alone[:, 1].tolist()
