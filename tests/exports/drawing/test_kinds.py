"""The kinds of feature of a legend."""

from types import SimpleNamespace

import shapely

from lawnmap.exports.drawing.kinds import Kind, kinds


def feature(kind, shape):
    return SimpleNamespace(kind=kind, shape=shapely.from_wkt(shape))


def test_what_is_drawn_in_two_ways_says_which_is_which():
    drawn = SimpleNamespace(
        features=[
            feature("drain", "LINESTRING (0 0, 1 1)"),
            feature("drain", "POINT (0 0)"),
            feature("drain", "POINT (2 0)"),
            feature("tree", "POINT (0 0)"),
            feature("tree", "POLYGON ((0 0, 1 0, 1 1, 0 0))"),
            feature("hedge", "LINESTRING (0 0, 1 1)"),
        ]
    )
    assert kinds(drawn) == [
        Kind("Drain (line)", "drain", False),
        Kind("Drain (point)", "drain", True),
        Kind("Hedge", "hedge", False),
        Kind("Tree (area)", "tree", False),
        Kind("Tree (point)", "tree", True),
    ]
