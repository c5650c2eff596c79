"""Measures as the points have them, and how they change."""

import math

import numpy as np
import pytest

from lawnmap.geometry.measures import ALONG, BEARING, DISTANCE, LEFT, Measures

QUAD = np.array([[0.0, 0.0], [20.0, 0.0], [22.0, 15.0], [-1.0, 14.0]])


def test_slopes_are_those_of_the_values():
    chance = np.random.default_rng(1)
    xy = QUAD + chance.normal(0, 1, QUAD.shape)
    kinds = np.array([DISTANCE, BEARING, ALONG, LEFT])
    measures = Measures(kinds, np.array([[0, 2, 3]] * 4), np.zeros(4), np.ones(4))
    slopes = measures.slopes(xy)
    for column in range(xy.size):
        step = np.zeros(xy.size)
        step[column] = 1e-6
        change = measures.values(xy + step.reshape(-1, 2)) - measures.values(
            xy - step.reshape(-1, 2)
        )
        assert slopes[:, column] == pytest.approx(change / 2e-6, abs=1e-6)


def test_values_of_known_places():
    xy = np.array([[0.0, 0.0], [0.0, 10.0], [-3.0, 4.0]])
    kinds = np.array([DISTANCE, BEARING, ALONG, LEFT])
    measures = Measures(kinds, np.array([[0, 1, 2]] * 4), np.zeros(4), np.ones(4))
    assert measures.values(xy) == pytest.approx([10, 0, 4, 3])


def test_bearings_differ_the_short_way_round():
    measures = Measures(np.array([BEARING]), np.array([[0, 1, 0]]), np.radians([359.0]), np.ones(1))
    xy = np.array([[0.0, 0.0], [math.sin(math.radians(1)), math.cos(math.radians(1))]])
    assert np.degrees(measures.misfit(xy)) == pytest.approx([2])
