"""The surface against numbers got elsewhere, and against what any weighing must hold to."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from lawnmap.geometry.inverse_distance import left_out, surface

# E. H. Isaaks and R. M. Srivastava, An Introduction to Applied Geostatistics, Oxford 1989,
# chapter 11: seven samples about (65, 137) (from memory).
PLACES = np.array([[61, 139], [63, 140], [64, 129], [68, 128], [71, 140], [73, 141], [75, 128.0]])
VALUES = np.array([477, 696, 227, 646, 606, 791, 783.0])
# Exponent and estimate, worked out apart from lawnmap before it was written; not the book's.
ESTIMATES = {0.2: 600.61, 1: 593.95, 2: 597.62, 5: 635.37, 10: 672.99}


@pytest.mark.parametrize(("power", "printed"), ESTIMATES.items())
def test_seven_samples_of_the_textbook(power, printed):
    (found,) = surface(PLACES, VALUES, np.array([[65.0, 137.0]]), power)
    assert found == pytest.approx(printed, abs=0.0051)


places = arrays(float, (6, 2), elements=st.floats(-50, 50).map(lambda each: round(each, 2)))
values = arrays(float, 6, elements=st.floats(1, 40))


@given(places, values, places)
def test_between_the_places_it_lies_between_them(where, measured, at):
    found = surface(where, measured, at)
    assert (found >= measured.min() - 1e-9).all()
    assert (found <= measured.max() + 1e-9).all()


@given(places, values)
def test_at_a_place_it_is_what_was_measured_there(where, measured):
    found = surface(where, measured, where)
    for place, value in zip(where, found, strict=True):
        here = (where == place).all(axis=1)
        assert value == pytest.approx(measured[here].mean())


@given(places, values)
def test_leaving_one_out_asks_the_others(where, measured):
    others = surface(where[1:], measured[1:], where[:1])[0]
    assert left_out(where, measured)[0] == pytest.approx(others - measured[0], abs=1e-9)


def test_places_so_near_that_their_power_has_no_number():
    near = np.array([[0.0, 0.0], [1e-200, 0.0], [3.0, 0.0]])
    (found,) = surface(near, np.array([1.0, 2.0, 9.0]), np.array([[2e-200, 0.0]]), 5)
    assert 1 <= found <= 2


def test_nothing_to_ask():
    with pytest.raises(ValueError, match="at least one"):
        surface(np.zeros((0, 2)), np.zeros(0), np.zeros((1, 2)))
    with pytest.raises(ValueError, match="two measured"):
        left_out(np.zeros((1, 2)), np.zeros(1))
    assert surface(PLACES, VALUES, np.zeros((0, 2))).shape == (0,)
