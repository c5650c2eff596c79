"""Cleaning a walk: pauses and spikes go, every true corner stays."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry import walk
from lawnmap.geometry.drift import area_sigma

RECTANGLE = [(0, 0), (20, 0), (20, 50), (0, 50)]
STRIP = [(0, 0), (1.5, 0), (1.5, 30), (0, 30)]
TURN = math.radians(36)
STAR = [
    ((12 if n % 2 else 3) * math.sin(n * TURN), (12 if n % 2 else 3) * math.cos(n * TURN))
    for n in range(10)
]
SPUR = [(0, 0), (10, 0), (10, 10), (6, 10), (5.5, 30), (5, 10), (0, 10)]
SHAPES = {"rectangle": RECTANGLE, "strip": STRIP, "star": STAR, "spur": SPUR}


def walked(corners, step=1.0):
    """Return a point each `step`, and each corner, round an outline."""
    ring = np.array([*corners, corners[0]], dtype=float)
    along = np.r_[0, np.cumsum(np.hypot(*np.diff(ring, axis=0).T))]
    places = np.unique(np.r_[np.arange(0, along[-1] - step, step), along[:-1]])
    # A corner just after a point of the pace would be a step shorter than anybody makes.
    corner = np.isin(places, along)
    near = np.r_[np.diff(places) < 0.3 * step, False] | np.r_[False, np.diff(places) < 0.3 * step]
    places = places[corner | ~near]
    return np.column_stack([np.interp(places, along, ring[:, axis]) for axis in (0, 1)]), places


def area(points):
    x, y = points.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("pace", [None, 0.3, 1.0, 2.0])
def test_true_corners_survive(name, pace):
    points, along = walked(SHAPES[name])
    found = walk.clean(points, None if pace is None else along / pace)
    assert (found.paused, found.spikes) == (0, 0)
    assert found.kept.all()


@pytest.mark.parametrize("name", SHAPES)
def test_corners_alone_survive(name):
    # Drawn, or recorded by pressing a key at each corner, with or without a wait there.
    points = np.array([*SHAPES[name], SHAPES[name][0]], dtype=float)
    assert walk.clean(points).kept.all()
    assert walk.clean(points, np.arange(len(points)) * 25.0).kept.all()


def test_near_corners_of_a_drawn_outline_survive():
    notched = [*RECTANGLE[:2], (20, 10), (19.9, 10), (19.9, 10.1), (20, 10.1), *RECTANGLE[2:]]
    assert walk.clean(np.array(notched, dtype=float)).kept.all()


def test_a_spur_whose_straight_sides_were_not_recorded_survives():
    # Some receivers leave out the points of a straight line: a thin spur then looks like a spike.
    points, along = walked(SPUR)
    tip = int(points[:, 1].argmax())
    sparse = (points[:, 1] <= 10) | (np.arange(len(points)) == tip)
    assert walk.clean(points[sparse], along[sparse]).kept.all()
    straight = sparse & ~((points[:, 1] == 0) & (points[:, 0] > 0) & (points[:, 0] < 10))
    assert walk.clean(points[straight]).kept.all()


def test_a_pause_is_its_first_point():
    points, along = walked(RECTANGLE)
    wander = np.random.default_rng(1).uniform(-0.7, 0.7, (40, 2))
    stay = points[20] + wander
    stayed = np.vstack([points[:21], stay, points[21:]])
    seconds = np.r_[along[:21], along[20] + 1 + np.arange(40), along[21:] + 41]
    found = walk.clean(stayed, seconds)
    # The last points of a stay are kept where they lead away: here one or two by chance.
    assert 37 <= found.paused <= 40
    assert found.spikes == 0
    assert found.kept[:21].all()
    assert found.kept[61:].all()


def test_a_corner_just_after_a_pause_survives():
    points, along = walked(RECTANGLE)
    stay = points[19] + np.tile([[0.3, 0.2], [0, 0.4], [-0.3, 0.1]], (10, 1))
    stayed = np.vstack([points[:20], stay, points[20:]])
    seconds = np.r_[along[:20], along[19] + 1 + np.arange(30), along[20:] + 31]
    found = walk.clean(stayed, seconds)
    assert found.paused >= 28
    assert [20, 0] in stayed[found.kept].tolist()


def test_a_stay_is_no_pause_before_twenty_seconds():
    points, along = walked(RECTANGLE)
    stay = points[20] + [(0.5, 0.5), (0, 1), (0.5, 0.5), (0, 1), (0.6, 0.2)]
    stayed = np.vstack([points[:21], stay, points[21:]])
    for each, paused in ((1.0, 0), (5.0, 5)):
        later = 6 * each
        seconds = np.r_[along[:21], along[20] + each * np.arange(1, 6), along[21:] + later]
        assert walk.clean(stayed, seconds).paused == paused


def test_points_in_one_place_are_a_pause_without_times():
    points, _ = walked(STRIP)
    stayed = np.repeat(points, 3, axis=0) + np.tile([[0, 0], [0.1, 0], [0, -0.2]], (len(points), 1))
    found = walk.clean(stayed)
    assert found.paused == 2 * len(points)
    assert (stayed[found.kept] == points).all()


@pytest.mark.parametrize("run", [1, 2])
@pytest.mark.parametrize("timed", [True, False])
def test_a_spike_goes_out_and_back(run, timed):
    points, along = walked(RECTANGLE)
    spiked = points.copy()
    spiked[30 : 30 + run] += (25, 3)
    found = walk.clean(spiked, along if timed else None)
    assert (found.paused, found.spikes) == (0, run)
    assert not found.kept[30 : 30 + run].any()


def test_three_points_that_jump_together_are_left():
    points, along = walked(RECTANGLE)
    points[30:33] += (25, 0)
    assert walk.clean(points, along).kept.all()


def test_what_a_runner_can_do_is_no_spike():
    points, _ = walked(RECTANGLE)
    points[30] += (12, 0)
    slowly = np.arange(len(points)) * 10.0  # 12 m in 10 s
    assert walk.clean(points, slowly).kept.all()
    assert walk.clean(points, slowly / 10).spikes == 1


def test_a_walk_on_one_spot_is_left_as_it_is():
    points = np.full((50, 2), 3.0)
    assert walk.clean(points, np.arange(50.0)) == (pytest.approx(np.ones(50, bool)), 0, 0)


places = st.floats(-30, 30, allow_nan=False).map(lambda value: round(value, 2))
lines = st.lists(st.tuples(places, places), min_size=1, max_size=60).map(
    lambda pairs: np.array(pairs, dtype=float)
)


@given(lines, st.one_of(st.none(), st.floats(0.1, 30)))
def test_cleaning_again_changes_nothing(points, every):
    seconds = None if every is None else np.arange(len(points)) * every
    found = walk.clean(points, seconds)
    assert found.kept[0]
    assert found.paused + found.spikes == (~found.kept).sum()
    again = walk.clean(points[found.kept], None if seconds is None else seconds[found.kept])
    assert again.kept.all()


@given(
    st.sampled_from(sorted(SHAPES)),
    st.floats(0.1, 3),
    st.floats(0.3, 2),
    st.booleans(),
)
def test_a_clean_walk_keeps_its_area(name, step, pace, timed):
    points, along = walked(SHAPES[name], step)
    found = walk.clean(points, along / pace if timed else None)
    ring = points[found.kept]
    # Not even more than an error of 3 cm a fix would be; no walk is that good.
    assert abs(area(ring) - area(points)) <= area_sigma(points, 0.03, 30.0)


@pytest.mark.slow
def test_a_scribble_of_many_points_takes_no_longer_than_a_walk():
    chance = np.random.default_rng(1)
    points = np.cumsum(chance.standard_normal((200_000, 2)), axis=0)
    found = walk.clean(points, np.arange(200_000.0))  # 0.5 s when measured
    assert found.kept.sum() > 100_000
