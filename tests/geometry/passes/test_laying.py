"""Pass lines on awkward zones. ``LAWNMAP_LONG=1`` lays them on all 500; else on one in twenty.

What is asked of them is this project's own bar; the ground itself is measured anew here, by buffers
with finer circles and by a raster count.
"""

import os

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from lawnmap.geometry.passes.headings import SEARCHED, counts, lines
from lawnmap.geometry.passes.laying import EMPTY, NARROW, lay
from lawnmap.geometry.passes.scanline import SHORTEST_M
from lawnmap.geometry.passes.swaths import cover
from tests.geometry.passes.raster import counted
from tests.geometry.passes.zones import zone

LONG = os.environ.get("LAWNMAP_LONG") == "1"
SEEDS = range(500) if LONG else range(0, 500, 21)
POINTS = 200_000 if LONG else 100_000
LAWN = shapely.box(0, 0, 20, 50)


def laid_over(seed):
    area, width, overlap = zone(seed)
    return area, width, lay(area, width, overlap=overlap)


def covered(area, laid):
    return cover(area, laid.regions.reach, laid.bouts, laid.rounds, laid.width_m)


def reached(area, width):
    """Return what a disc as wide as the machine can reach, by itself."""
    middle = shapely.buffer(area, -width / 2, quad_segs=100)
    return shapely.buffer(middle, width / 2, quad_segs=100)


@pytest.mark.parametrize("seed", SEEDS)
def test_lines_cover_what_the_machine_can_reach_and_nothing_else(seed):
    area, width, laid = laid_over(seed)
    reach = reached(area, width)
    if laid.why:
        assert laid.why == NARROW
        assert reach.area <= 0.002 * area.area
        return
    found = covered(area, laid)
    assert shapely.intersection(found.covered, reach).area >= 0.995 * reach.area
    assert found.outside_m2 <= 0.005 * area.area
    assert found.covered.area + found.left.area == pytest.approx(area.area, rel=1e-6)
    ways = [*shapely.linestrings(laid.bouts), *laid.rounds]
    assert min(each.distance(area.boundary) for each in ways) >= width / 2 - 1e-3
    assert shapely.intersects(area, ways).all()


@pytest.mark.parametrize("seed", SEEDS)
def test_a_raster_counts_the_same_ground(seed):
    area, _, laid = laid_over(seed)
    if laid.why:
        assert not laid.rounds
        return
    found = covered(area, laid)
    once, twice = counted(area, laid, POINTS)
    assert once == pytest.approx(found.covered.area, rel=0.01)
    few = 0.0 if LONG else 0.001 * found.covered.area  # what fewer points cannot tell
    assert twice == pytest.approx(found.twice_m2, rel=0.01, abs=few + 0.01)


@pytest.mark.parametrize("seed", SEEDS)
def test_turns_are_those_of_the_best_degree(seed):
    _, width, laid = laid_over(seed)
    if not len(laid.bouts):
        assert laid.regions.rest.is_empty
        return
    best = counts(laid.regions, SEARCHED, width, laid.step_m).min()
    assert laid.turns <= 1.01 * (len(laid.rounds) + best - 1)


def plainly(regions, heading, width, step):
    """Count the pieces of lines the slow way: one line after the other cut by the ground."""
    run, rest = (
        shapely.affinity.rotate(each, heading - 90, origin=(0, 0))
        for each in (regions.run, regions.rest)
    )
    west, _, east, _ = run.bounds
    low, high = rest.bounds[1], rest.bounds[3]
    # East and north turned this way have the far side of `lines` below.
    many = max(int(np.ceil((high - low + width - step - 1e-4) / step)), 1)
    offsets = high - (step - width / 2) - step * np.arange(many)
    cut = [shapely.LineString([(west - 1, y), (east + 1, y)]) & run for y in offsets]
    return int((shapely.length(shapely.get_parts(cut)) > SHORTEST_M).sum())


@pytest.mark.parametrize("seed", [*range(0, 500, 5)] if LONG else [0, 14, 21, 63])
def test_the_scan_counts_as_lines_cut_one_by_one(seed):
    _, width, laid = laid_over(seed)
    tried = SEARCHED[:: 1 if LONG else 20] + 0.3
    if not len(laid.bouts):
        assert laid.regions.rest.is_empty
        return
    fast = counts(laid.regions, tried, width, laid.step_m)
    slow = [plainly(laid.regions, each, width, laid.step_m) for each in tried]
    assert fast.tolist() == slow


# Worked examples of parallel tracks: bouts = ceil(W / (w (1 - overlap))), of a standard text on
# field machines; a round along the edges is a bout on either side.
@pytest.mark.parametrize(
    ("width", "overlap", "bouts"), [(0.5, 0.0, 40), (0.5, 0.1, 45), (0.38, 0.1, 59), (0.32, 0, 63)]
)
def test_bouts_of_a_rectangle(width, overlap, bouts):
    laid = lay(LAWN, width, overlap=overlap)
    assert len(laid.bouts) + 2 == bouts
    assert laid.heading_deg == pytest.approx(0)
    assert len(lay(LAWN, width, overlap=overlap, rounds=2).bouts) + 4 == bouts


def test_bouts_across_a_rectangle():
    laid = lay(LAWN, 0.38, overlap=0.1, heading_deg=90)
    assert len(laid.bouts) + 2 == 147
    assert laid.turns == 145


def test_two_rounds_cover_too_and_lines_begin_where_they_end():
    laid = lay(LAWN, 0.5, overlap=0.1, rounds=2)
    found = covered(LAWN, laid)
    assert found.reach_share > 0.9999
    assert len(laid.rounds) == 2
    # Half a width and one spacing from the edge, but for the width of a circle's pieces.
    assert laid.bouts[:, :, 1].min() == pytest.approx(0.25 + 0.45, abs=2e-3)


def test_lines_are_walked_up_and_down_from_the_side_one_comes_from():
    laid = lay(LAWN, 0.5, start=(25, -5))
    assert laid.start_deg == pytest.approx(90)
    assert laid.bouts[0, 0, 0] > laid.bouts[-1, 0, 0]
    assert laid.bouts[0, 0, 1] < 1  # and from the end that is nearer
    steps = np.hypot(*(laid.bouts[1:, 0] - laid.bouts[:-1, 1]).T)
    assert steps.max() == pytest.approx(0.5)
    assert laid.idle_m == pytest.approx(0, abs=1e-9)
    assert lay(LAWN, 0.5, start=(-5, 55)).start_deg == pytest.approx(270)


def test_an_obstacle_parts_the_lines_and_gets_a_round():
    pond = LAWN.difference(shapely.Point(10, 25).buffer(4))
    laid = lay(pond, 0.5)
    assert len(laid.rounds) == 2
    assert len(laid.bouts) > len(lay(LAWN, 0.5).bouts)
    assert not shapely.intersects(shapely.linestrings(laid.bouts), shapely.Point(10, 25)).any()
    # One patch before, one on either side, one behind: two walks from patch to patch at most.
    gaps = np.hypot(*(laid.bouts[1:, 0] - laid.bouts[:-1, 1]).T)
    assert (gaps > 2).sum() <= 2


def test_own_heading_is_kept():
    assert lay(LAWN, 0.5, heading_deg=213.0).heading_deg == pytest.approx(33.0)


@pytest.mark.parametrize(
    ("area", "why"),
    [
        (shapely.Polygon(), EMPTY),
        (shapely.box(0, 0, 30, 0.3), NARROW),
        (shapely.box(0, 0, 0.01, 0.01), NARROW),
    ],
)
def test_no_ground_no_lines_and_a_word_why(area, why):
    laid = lay(area, 0.38)
    assert laid.why == why
    assert len(laid.bouts) == len(laid.rounds) == laid.turns == 0
    assert laid.length_m == 0


def test_a_strip_no_wider_than_two_widths_needs_rounds_only():
    laid = lay(shapely.box(0, 0, 30, 0.7), 0.38)
    assert (len(laid.rounds), len(laid.bouts), laid.why) == (1, 0, "")
    assert laid.heading_deg == pytest.approx(90)


@pytest.mark.parametrize("wrong", [{"width_m": 0}, {"overlap": 0.5}, {"rounds": 0}])
def test_what_no_machine_has_is_refused(wrong):
    with pytest.raises(ValueError, match="width"):
        lay(LAWN, **({"width_m": 0.5} | wrong))


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 499), degrees=st.floats(0, 360))
def test_a_turned_zone_has_turned_lines(seed, degrees):
    area, width, overlap = zone(seed)
    turned = shapely.affinity.rotate(area, -degrees, origin=(0, 0))
    one, other = (lay(each, width, overlap=overlap) for each in (area, turned))
    assert one.why == other.why
    if one.why or not len(one.bouts):
        return
    # Both are within 1 % of the best degree, and degrees fall differently on a turned zone.
    many, more = len(one.bouts), len(other.bouts)
    assert abs(many - more) <= max(2, 0.03 * many)
    if shapely.convex_hull(one.regions.rest).area == pytest.approx(one.regions.rest.area):
        apart = (other.heading_deg - one.heading_deg - degrees) % 180
        assert min(apart, 180 - apart) < 1e-3
        assert many == more


def test_lines_reach_over_both_sides_by_the_overlap():
    grid = lines(np.array([[0.0, 10.0]]), 1.0, 0.9)
    assert grid.first[0] == pytest.approx(0.4)
    last = grid.first[0] + (grid.many[0] - 1) * 0.9
    assert last + 0.5 >= 10 + 0.1 - 1e-4
    assert last - 0.9 + 0.5 < 10 + 0.1
