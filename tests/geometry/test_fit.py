"""Similarity fits against a textbook adjustment."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.fit import similarity

# Ghilani and Wolf, Adjustment Computations, section 18 example (as used in open test code).
SOURCE = np.array([[121.622, -128.066], [141.228, 187.718], [175.802, 135.728]])
TARGET = np.array([[1049422.40, 51089.20], [1049413.95, 49659.30], [1049244.95, 49884.95]])


def test_textbook_parameters():
    fit = similarity(SOURCE, TARGET)
    assert (fit.a, fit.b) == pytest.approx((-4.51249, -0.25371), abs=1e-5)
    assert (fit.east, fit.north) == pytest.approx((1050003.715, 50542.131), abs=0.001)
    assert fit.scale == pytest.approx(4.519621, abs=1e-6)
    assert fit.turn_deg == pytest.approx(-176.7819, abs=1e-4)


def test_textbook_residuals_and_points():
    fit = similarity(SOURCE, TARGET)
    assert fit.residuals == pytest.approx(
        np.array([[0.004, -0.029], [0.101, -0.077], [-0.105, 0.106]]), abs=0.001
    )
    assert fit.rmse == pytest.approx(0.1142, abs=1e-4)
    moved = fit.apply(np.array([[174.148, -120.262], [972.788, 120.994]]))
    assert moved == pytest.approx(
        np.array([[1049187.361, 51040.629], [1045644.713, 49749.336]]), abs=0.001
    )


def test_two_points_are_exact_and_unchecked():
    fit = similarity(SOURCE[:2], TARGET[:2])
    assert fit.rmse == pytest.approx(0, abs=1e-6)
    assert not fit.checked


@pytest.mark.parametrize("n", [0, 1])
def test_too_few(n):
    with pytest.raises(ValueError, match="two"):
        similarity(SOURCE[:n], TARGET[:n])


def test_all_in_one_place():
    with pytest.raises(ValueError, match="one place"):
        similarity(SOURCE[[0, 0]], TARGET[:2])


@given(st.floats(0.1, 10), st.floats(-3, 3), st.floats(-1e5, 1e5), st.floats(-1e5, 1e5))
def test_a_known_similarity_is_found(scale, turn, east, north):
    a, b = scale * np.cos(turn), scale * np.sin(turn)
    moved = np.column_stack(
        [a * SOURCE[:, 0] - b * SOURCE[:, 1] + east, b * SOURCE[:, 0] + a * SOURCE[:, 1] + north]
    )
    fit = similarity(SOURCE, moved)
    assert (fit.a, fit.b) == pytest.approx((a, b), abs=1e-6)
    assert fit.rmse < 1e-6
