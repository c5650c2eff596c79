"""Shapes of zones, checked by arrays: what is wrong is told of the zone it is wrong with."""

import struct

import numpy as np
import pyarrow as pa
import pytest
import shapely

from lawnmap.jobs.sites.door import shapes
from lawnmap.jobs.sites.door.trouble import Trouble
from tests.jobs.sites.door.tables import LONLAT, square

NORTH = struct.pack("<d", 53.0002)


def judged(*given, crs=LONLAT):
    """Return the shapes as they come out, and what was said of each."""
    trouble = Trouble(len(given))
    what = np.full(len(given), "zone", dtype=object)
    found = shapes.checked(np.array([*given, None], dtype=object)[:-1], what, crs, trouble)
    many = np.arange(len(given))
    told = {each.row: each.reason for each in trouble.skipped(many, many * 0, many)}
    return found, [told.get(row, "") for row in many]


def ring(many, radius=0.001):
    turn = np.linspace(0, 2 * np.pi, many)
    turn[-1] = 0
    return shapely.Polygon(np.column_stack([radius * np.cos(turn) - 2, radius * np.sin(turn) + 53]))


def with_third(north):
    """Return an outline whose third corner lies at that latitude."""
    with np.errstate(invalid="ignore"):
        return shapely.from_wkb(
            shapely.to_wkb(square()).replace(NORTH, struct.pack("<d", north), 1)
        )


@pytest.mark.parametrize(
    ("shape", "reason"),
    [
        (None, "it has no shape"),
        (shapely.Polygon(), "it has no shape"),
        (shapely.MultiPolygon([]), "it has no shape"),
        (shapely.Point(-2, 53), "its shape is a Point, and a zone is a polygon"),
        (shapely.GeometryCollection([square()]), "its shape is a GeometryCollection"),
        (ring(20_001), "it has 20,001 vertices, and 20,000 is the most"),
        (with_third(np.nan), "a coordinate is not a finite number"),
        (with_third(np.inf), "a coordinate is not a finite number"),
        (shapely.box(-2, 53, 181, 53.1), "longitude 181 is out of range"),
        (shapely.box(-2, -90.5, -1.9, 53.1), "latitude -90.5 is out of range"),
        (shapely.box(430000, 433000, 430010, 433010), "longitude 430010 is out of range"),
        (shapely.box(-179.9, -17, 179.9, -16.9), "it reaches across the 180° meridian: cut it"),
        (shapely.Polygon([(-2, 53), (-1.8, 53.3), (-1.8, 53), (-2, 53.3)]),
         "the outline crosses itself at -1.9"),
    ],
)  # fmt: skip
def test_what_is_no_outline(shape, reason):
    found, said = judged(shape, square(5))
    assert reason in said[0]
    assert said[1] == ""
    assert found[1].equals(square(5))


def test_the_most_vertices_are_admitted():
    assert judged(ring(20_000))[1] == [""]


def test_heights_are_dropped():
    found, said = judged(shapely.force_3d(square(), 80), square(3))
    assert said == ["", ""]
    assert not shapely.has_z(found).any()


def test_places_are_those_of_proj():
    """Caister water tower: Ordnance Survey, A guide to coordinate systems, Annexe C and 1.4."""
    tower = shapely.box(651409.903, 313177.270, 651419.903, 313187.270)
    found, said = judged(tower, crs="EPSG:27700")
    west, south, _, _ = found[0].bounds
    assert said == [""]
    # The guide's seven parameters; without its grid file a few metres are open.
    assert west == pytest.approx(1 + 42 / 60 + 57.787 / 3600, abs=6e-5)
    assert south == pytest.approx(52 + 39 / 60 + 28.723 / 3600, abs=4e-5)


def test_only_the_shape_without_a_place_is_left_out():
    good = shapely.box(651409, 313177, 651419, 313187)
    lost = shapely.box(1e30, 1e30, 2e30, 2e30)
    found, said = judged(good, lost, good, crs="EPSG:27700")
    assert ["no place" in each for each in said] == [False, True, False]
    assert found[0].equals(found[2])


def test_wkb_that_is_none():
    wkb = shapely.to_wkb(square())
    open_ring = shapely.to_wkb(shapely.LineString([(0, 0), (1, 0), (1, 1), (2, 2)]))
    # A polygon of one ring: the line's own count and points behind it.
    open_ring = b"\x01\x03\x00\x00\x00\x01\x00\x00\x00" + open_ring[5:]
    trouble = Trouble(5)
    found = shapes.decoded(pa.array([wkb, wkb[:40], b"", None, open_ring], pa.binary()), trouble)
    assert trouble.bad.tolist() == [False, True, True, False, True]
    assert found[0].equals(square())


def test_shapes_that_name_different_systems():
    named = shapely.set_srid(np.array([square(), square(), square()]), [27700, 4326, 0])
    _, said = judged(*named)
    assert [bool(each) for each in said] == [True, True, False]
    assert "names a CRS" in said[0]


def test_metres_are_known_for_what_they_are():
    metres = np.array([shapely.box(430000, 433000, 430010, 433010)])
    assert shapes.looks_like_metres(metres)
    assert not shapes.looks_like_metres(np.array([*metres, square()]))
    assert not shapes.looks_like_metres(np.array([], dtype=object))
