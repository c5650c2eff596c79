"""Blades up over what lies hidden."""

import numpy as np
import pytest
import shapely

from lawnmap.geometry.passes.laying import lay
from lawnmap.geometry.passes.lifts import lifted
from lawnmap.geometry.passes.swaths import cover

LAWN = shapely.box(0, 0, 10, 20)
NOTHING = np.zeros(0, dtype=object)


def test_nothing_hidden_nothing_lifted():
    laid = lay(LAWN, 0.5)
    found = lifted(laid.bouts, laid.rounds, NOTHING, 0.35)
    assert found.lifts == 0
    assert (found.bouts == laid.bouts).all()
    assert all(each.is_closed for each in found.rounds)


def test_a_point_lifts_the_lines_that_pass_near_it():
    laid = lay(LAWN, 0.5)
    socket = shapely.Point(5.0, 10.0)
    found = lifted(laid.bouts, laid.rounds, np.array([socket]), 0.35)
    near = shapely.dwithin(shapely.linestrings(laid.bouts), socket, 0.35).sum()
    assert found.lifts == near > 0
    assert len(found.bouts) == len(laid.bouts) + near
    pieces = shapely.linestrings(found.bouts)
    assert shapely.distance(pieces, socket).min() >= 0.35 - 1e-9
    # Each piece still runs the way its bout does.
    way, whole = (np.diff(each, axis=1)[:, 0] for each in (found.bouts, laid.bouts[found.bout]))
    assert ((way * whole).sum(axis=1) > 0).all()


def test_a_wire_across_lifts_every_line_once_and_the_round_twice():
    laid = lay(LAWN, 0.5)
    wire = shapely.LineString([(-1, 10.03), (11, 10.03)])
    found = lifted(laid.bouts, laid.rounds, np.array([wire]), 0.35)
    assert found.lifts == len(laid.bouts) + 2
    pieces = [*shapely.linestrings(found.bouts), *found.rounds]
    assert shapely.distance(pieces, wire).min() >= 0.35 - 1e-9
    assert len(found.rounds) == 2
    worked = cover(LAWN, laid.regions.reach, found.bouts, found.rounds, 0.5)
    assert worked.left.area == pytest.approx(10 * 0.7, rel=0.05)


def test_a_wire_along_the_edge_takes_the_round_away():
    laid = lay(LAWN, 0.5)
    found = lifted(laid.bouts, laid.rounds, np.array([LAWN.exterior]), 0.35)
    assert found.rounds == ()
    assert len(found.bouts) == len(laid.bouts)
    assert found.lifts >= 1
