"""Outlines as whole numbers: read back they are the outlines of a short page, to the last digit."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.exports.drawing.drawn import Drawing, rings
from lawnmap.exports.map.outlines import outlines
from lawnmap.geometry.frame import Frame
from tests.exports.parcels import areas_of, middles_of

METRES = st.floats(-2_000, 2_000, allow_nan=False)
CORNERS = st.lists(st.tuples(METRES, METRES), min_size=3, max_size=9)
POLYGONS = st.builds(shapely.Polygon, CORNERS, st.lists(CORNERS, max_size=2))
ZONES = st.one_of(POLYGONS, st.lists(POLYGONS, min_size=1, max_size=3).map(shapely.MultiPolygon))


def drawn_of(zones, *, flat=False, frame=None):
    shapes = np.array(zones, dtype=object)
    points = shapely.bounds(shapes)[:, :2]
    frame = frame or Frame(3.0, 55.0)
    return Drawing(shapes, points, np.full(len(zones), 1.236), (), (), frame, flat)


@settings(max_examples=40, deadline=None)
@given(st.lists(ZONES, min_size=1, max_size=6), st.booleans(), st.sampled_from([-179.9, 0.0, 3.0]))
def test_outlines_come_back_as_a_short_page_has_them(zones, flat, longitude):
    drawn = drawn_of(zones, flat=flat, frame=Frame(longitude, -55.0))
    packed = outlines(drawn)
    short = [
        [[drawn.positions(ring) for ring in polygon] for polygon in rings(zone)] for zone in zones
    ]
    assert areas_of(packed) == short
    assert middles_of(packed) == drawn.positions(drawn.points)


def test_a_lawn_takes_two_small_numbers_a_corner():
    packed = outlines(drawn_of([shapely.box(0, 0, 10, 20), shapely.box(12, 0, 22, 20)]))
    assert packed["shapes"]["counts"] == [4, 4]
    assert len(packed["shapes"]["steps"]) == 2 * 8
    assert max(map(abs, packed["shapes"]["steps"])) < 10_000  # 100 m are some 9,000 to 16,000
    assert packed["radius"] == [124, 124]


def test_on_a_flat_plan_the_numbers_are_centimetres():
    packed = outlines(drawn_of([shapely.box(100, 50, 110, 70)], flat=True))
    assert packed["whole"] == 100
    assert areas_of(packed) == [[[[[0.0, 10.0], [20.0, 10.0], [20.0, 0.0], [0.0, 0.0]]]]]
