"""Where numbers of zones stand: on clear ground where there is any, as shapely judges it."""

from typing import NamedTuple

import numpy as np
import pytest
import shapely

from lawnmap.exports.drawing.label_places import CLEAR, ENOUGH, label_places

LAWN = shapely.box(0, 0, 20, 10)  # its widest place has a radius of 5 m


class Thing(NamedTuple):
    kind: str
    shape: shapely.Geometry


def place(lawn, *things):
    (at,), (radius,) = label_places(np.array([lawn], dtype=object), things)
    return shapely.Point(at), radius


def test_without_anything_on_it_a_number_stands_in_the_middle():
    at, radius = place(LAWN)
    assert at.equals_exact(shapely.Point(10, 5), 1e-6)
    assert radius == pytest.approx(5)


@pytest.mark.parametrize(
    "thing",
    [
        Thing("bed", shapely.box(8, 3, 12, 7)),
        Thing("water", shapely.Point(10, 5).buffer(2)),
        Thing("hidden", shapely.Point(10, 5)),
        Thing("drain", shapely.LineString([(10, -1), (10, 11)])),
        Thing("paving", shapely.box(9, -1, 14, 11)),
    ],
)
def test_it_keeps_clear_of_what_is_mapped_there(thing):
    at, radius = place(LAWN, thing)
    assert LAWN.contains(at)
    assert radius >= ENOUGH * 5
    kept = 0 if thing.shape.area else CLEAR * 5 * 0.9  # the rounded corner of a rough circle
    assert thing.shape.distance(at) >= radius * 0.95 + kept


def test_a_crown_is_seen_through_and_what_lies_elsewhere_moves_nothing():
    crown = Thing("tree", shapely.Point(10, 5).buffer(4))
    elsewhere = Thing("building", shapely.box(40, 0, 50, 10))
    at, _ = place(LAWN, crown, elsewhere)
    assert at.equals_exact(shapely.Point(10, 5), 1e-6)


def test_where_nothing_is_clear_it_stands_in_the_widest_place():
    whole = Thing("paving", shapely.box(-1, -1, 21, 11))
    gullies = [Thing("drain", shapely.Point(x, 5)) for x in range(0, 21, 2)]
    for things in ([whole], gullies):
        at, radius = place(LAWN, *things)
        assert at.equals_exact(shapely.Point(10, 5), 1e-6)
        assert radius == pytest.approx(5)


def test_no_zone_at_all():
    points, radii = label_places(np.array([], dtype=object), [Thing("tap", shapely.Point(0, 0))])
    assert (points.shape, radii.shape) == ((0, 2), (0,))
