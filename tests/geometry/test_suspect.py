"""A wrong control point is named when the others leave no doubt, and never else."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.fit import similarity
from lawnmap.geometry.suspect import suspect
from tests.geometry.test_fit import SOURCE, TARGET

ROUND = np.array([[18.5, -14.5], [0, 0], [18, 33], [-6, 30], [-4, 12], [11, -3]])


def measured(seed, points, noise=0.03):
    return ROUND[:points] + np.random.default_rng(seed).normal(0, noise, (points, 2))


def test_of_three_points_none_is_named():
    # geo.md 3.4: 51085.20 typed for 51089.20 raises S0 from 0.140 to 0.282 and no more.
    typed = TARGET - [[0, 4], [0, 0], [0, 0]]
    assert similarity(SOURCE, typed).s0 == pytest.approx(0.282, abs=5e-4)
    assert suspect(SOURCE, typed, "similarity") is None


@pytest.mark.parametrize(("kind", "points"), [("similarity", 4), ("affine", 5)])
@pytest.mark.parametrize("which", range(4))
def test_a_mistyped_point_is_named_with_how_far_it_is_off(kind, points, which):
    target = measured(which, points)
    target[which] += [3.0, -4.0]
    found = suspect(ROUND[:points], target, kind)
    assert found is not None
    assert found.which == which
    assert found.off == pytest.approx([-3, 4], abs=0.3)
    assert found.within < 0.1


@pytest.mark.parametrize(("kind", "points"), [("similarity", 3), ("affine", 4)])
def test_too_few_to_tell(kind, points):
    target = measured(1, points)
    target[0] += 4
    assert suspect(ROUND[:points], target, kind) is None


def test_two_wrong_points_of_four_leave_doubt():
    target = measured(1, 4)
    target[[0, 2]] += [[3.0, -4.0], [-5.0, 1.0]]
    assert suspect(ROUND[:4], target, "similarity") is None


def test_what_lies_below_the_floor_is_never_wrong():
    target = measured(1, 6, noise=1e-5)
    target[2] += 0.02
    assert suspect(ROUND, target, "similarity") is not None
    assert suspect(ROUND, target, "similarity", 0.05) is None


@pytest.mark.parametrize("kind", ["similarity", "affine"])
def test_a_sound_survey_is_seldom_accused(kind):
    named = [suspect(ROUND, measured(seed, 6), kind) for seed in range(300)]
    assert sum(each is not None for each in named) < 0.05 * 300


def test_an_affine_whose_other_points_are_on_a_line_accuses_nobody():
    source = np.array([[0.0, 0], [10, 0], [20, 0], [30, 0], [15, 20]])
    target = source + np.array([[0, 0], [0, 0], [0, 0], [0, 0], [5, 5]])
    assert suspect(source, target, "affine") is None


@given(st.integers(0, 2**32 - 1), st.sampled_from(["similarity", "affine"]))
def test_points_without_any_error_accuse_nobody(seed, kind):
    chance = np.random.default_rng(seed)
    source = chance.uniform(-50, 50, (6, 2))
    target = similarity(source[:2], chance.uniform(-50, 50, (2, 2))).apply(source)
    assert suspect(source, target, kind, 1e-6) is None
