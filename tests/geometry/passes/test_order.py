"""The order of bouts, against rules that hold for every zone."""

import numpy as np

from lawnmap.geometry.passes.order import cells, walk
from lawnmap.geometry.passes.scanline import Grid, Pieces, edges, scan
from tests.geometry.passes.zones import zone


def pieces(*rows):
    line, left, right = np.array(rows, dtype=float).T
    return Pieces(np.zeros(len(rows), dtype=int), line.astype(int), left, right)


def test_patches_part_at_an_obstacle_and_meet_behind_it():
    found = pieces((0, 0, 10), (1, 0, 4), (1, 6, 10), (2, 0, 4), (2, 6, 10), (3, 0, 10))
    assert cells(found) == [[0], [1, 3], [2, 4], [5]]


def test_pieces_past_each_other_are_no_neighbours():
    assert cells(pieces((0, 0, 4), (1, 4, 8))) == [[0], [1]]


def test_up_and_down_from_the_nearer_end():
    found = pieces((0, 0, 10), (1, 0, 10), (2, 0, 10))
    assert walk(found, 1.0, -3).forward.tolist() == [True, False, True]
    assert walk(found, 1.0, 12).forward.tolist() == [False, True, False]
    assert walk(found, 1.0, 12).piece.tolist() == [0, 1, 2]


def test_every_piece_once_on_every_zone():
    for seed in range(40):
        area = zone(seed)[0]
        grid = Grid(*(np.array([each]) for each in (area.bounds[1] + 0.2, 0.5, 60)))
        found = scan(edges(np.array([area])), grid)
        order = walk(found, 0.5, 0.0)
        assert sorted(order.piece) == list(range(len(found.line)))
        if len(order.piece):
            assert found.line[order.piece[0]] == found.line.min()


def test_no_pieces_no_walk():
    assert len(walk(pieces((0, 0, 1))._replace(line=np.zeros(0, dtype=int)), 1.0, 0).piece) == 0
