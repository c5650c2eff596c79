"""Outlines taken apart: every vertex is there, with whose it is."""

import numpy as np
import pytest
import shapely

from lawnmap.geometry import rings

SQUARE = shapely.box(0, 0, 1, 1)
PIERCED = shapely.Polygon(shapely.box(0, 0, 9, 9).exterior, [SQUARE.exterior])
MIXED = [
    SQUARE,
    shapely.MultiPolygon([PIERCED, shapely.box(20, 0, 21, 1)]),
    shapely.Polygon(),
    shapely.LineString([(0, 0), (1, 1)]),
    shapely.Point(3, 3),
    shapely.box(5, 5, 6, 6),
]


def test_rings_tell_whose_they_are_and_what():
    ((here, taken),) = rings.batches(np.array(MIXED, dtype=object))
    facts = (taken.owner, taken.sort, taken.counts)
    told = sorted(zip(*(each.tolist() for each in facts), strict=True))
    assert here == slice(0, 6)
    assert told == [
        (0, rings.OUTER, 5),
        (1, rings.INNER, 5),
        (1, rings.OUTER, 5),
        (1, rings.OUTER, 5),
        (3, rings.LINE, 2),
        (5, rings.OUTER, 5),
    ]
    assert len(taken.lonlat) == taken.counts.sum() == taken.ends[-1] + 1
    assert (taken.lonlat[taken.starts] == taken.lonlat[taken.ends])[taken.sort != 0].all()


def test_no_vertex_is_lost_between_batches(monkeypatch):
    monkeypatch.setattr(rings, "BATCH", 7)
    monkeypatch.setattr(rings, "OUTLINES", 4)
    outlines = np.array(MIXED * 5, dtype=object)
    found = list(rings.batches(outlines))
    assert [place for here, _ in found for place in range(here.start, here.stop)] == list(range(30))
    counted = np.concatenate([each.summed(each.counts.astype(float)) for _, each in found])
    vertices = shapely.get_num_coordinates(outlines)
    vertices[shapely.get_type_id(outlines) == 0] = 0
    assert counted.tolist() == vertices.tolist()


def test_nothing_there():
    assert list(rings.batches(np.array([], dtype=object))) == []
    ((_, taken),) = rings.batches(np.array([shapely.Point(0, 0)], dtype=object))
    assert taken.summed(np.zeros(0)).tolist() == [0.0]


@pytest.mark.parametrize(("turned", "right"), [(359.5, -0.5), (-359.5, 0.5), (180.0, 180.0)])
def test_the_antimeridian_is_no_seam(turned, right):
    assert rings.wrapped(np.array([turned, 0.25])).tolist() == [right, 0.25]
