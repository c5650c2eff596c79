"""Fits of control points against a textbook, and what any least-squares fit must hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.fit import affine, fitted, similarity

# Ghilani and Wolf, Adjustment Computations, section 18 example (as used in open test code).
SOURCE = np.array([[121.622, -128.066], [141.228, 187.718], [175.802, 135.728]])
TARGET = np.array([[1049422.40, 51089.20], [1049413.95, 49659.30], [1049244.95, 49884.95]])

# The same book, affine example: measured and calibrated fiducial marks 1, 3, 5, 7, and the standard
# errors of their coordinates (from memory; every printed digit comes out).
MEASURED = np.array([[0.764, 5.960], [5.062, 10.541], [9.663, 6.243], [5.350, 1.654]])
CALIBRATED = np.array([[-113.0, 0.003], [0.001, 112.993], [112.998, 0.003], [0.001, -112.999]])
SIGMA = np.array([[0.026, 0.028], [0.024, 0.030], [0.028, 0.022], [0.024, 0.026]])

KINDS = {"similarity": similarity, "affine": affine}
kinds = st.sampled_from(sorted(KINDS))
seeds = st.integers(0, 2**32 - 1)


def six(fit):
    return fit.a, fit.b, fit.c, fit.d, fit.e, fit.f


def scattered(seed, points=6, noise=0.0):
    """Return points of a garden somewhere, and where a slightly leaning plan puts them."""
    chance = np.random.default_rng(seed)
    source = chance.uniform(-50, 50, (points, 2)) + chance.uniform(-1e5, 1e5, 2)
    made = KINDS["similarity"](source[:2], chance.uniform(-50, 50, (2, 2)))
    return source, made.apply(source) + chance.normal(0, noise, source.shape)


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
    assert fit.s0 == pytest.approx(0.1398, abs=1e-4)
    places = np.array(
        [[174.148, -120.262], [513.520, -192.130], [754.444, -67.706], [972.788, 120.994]]
    )
    printed = [
        [1049187.361, 51040.629],
        [1047637.713, 51278.829],
        [1046582.113, 50656.241],
        [1045644.713, 49749.336],
    ]
    assert fit.apply(places) == pytest.approx(np.array(printed), abs=0.001)


def test_textbook_affine_with_weights():
    found = six(affine(MEASURED, CALIBRATED, SIGMA))
    assert found == pytest.approx(
        (25.37152, 0.82220, -137.183, -0.80994, 25.40166, -150.723), abs=5e-4
    )
    assert found == pytest.approx(
        (25.371516, 0.822195, -137.1827, -0.809944, 25.401660, -150.7227), abs=6e-5
    )


def test_textbook_affine_without_weights_differs():
    fit = affine(MEASURED, CALIBRATED)
    assert six(fit) == pytest.approx(
        (25.369705, 0.822135, -137.184428, -0.807876, 25.403314, -150.738683), abs=1e-6
    )
    # Of four marks at the corners of nearly a square all residuals are nearly alike.
    assert np.abs(fit.residuals) == pytest.approx(np.tile([0.0979, 0.0448], (4, 1)), abs=3e-4)


def test_equal_weights_change_nothing_but_the_unit():
    plain, weighted = similarity(SOURCE, TARGET), similarity(SOURCE, TARGET, TARGET * 0 + 0.5)
    assert weighted.residuals == pytest.approx(plain.residuals)
    assert weighted.s0 == pytest.approx(plain.s0 / 0.5)
    assert weighted.scale_sigma == pytest.approx(plain.scale_sigma)


@pytest.mark.parametrize(("kind", "points"), [("similarity", 2), ("affine", 3)])
def test_the_fewest_points_are_exact_and_prove_nothing(kind, points):
    fit = KINDS[kind](SOURCE[:points], TARGET[:points])
    assert fit.rmse == pytest.approx(0, abs=1e-6)
    assert not fit.checked
    assert fit.s0 is None
    assert fit.scale_sigma is None


@pytest.mark.parametrize(("kind", "points"), [("similarity", 1), ("affine", 2), ("affine", 0)])
def test_too_few(kind, points):
    with pytest.raises(ValueError, match="at least"):
        KINDS[kind](SOURCE[:points], TARGET[:points])


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    "where", [SOURCE * 0, SOURCE * 0 + 1e9, SOURCE * 1e-300, TARGET[[0, 0, 0]]]
)
def test_all_in_one_place(kind, where):
    with pytest.raises(ValueError, match="one place"):
        KINDS[kind](where, TARGET)
    with pytest.raises(ValueError, match="one place"):
        KINDS[kind](SOURCE, where)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("bad", [np.nan, np.inf, 1e300])
def test_out_of_all_reach(kind, bad):
    with pytest.raises(ValueError, match="finite"):
        KINDS[kind](SOURCE + np.array([[0, 0], [bad, 0], [0, 0]]), TARGET)


def test_weights_must_be_above_zero():
    with pytest.raises(ValueError, match="above zero"):
        affine(MEASURED, CALIBRATED, SIGMA * 0)


@pytest.mark.parametrize("off", [0.0, 1e-9, 1e-4])
def test_points_on_a_line_fix_no_affine(off):
    along = np.arange(5.0)[:, None] * [30.0, 40.0] + [4e5, 3e5]
    along[2, 0] += off  # GDAL and lstsq both answer this with a plausible matrix (reliability.md 3)
    with pytest.raises(ValueError, match="on a line"):
        affine(along, np.random.default_rng(1).normal(size=(5, 2)))


def test_an_affine_tells_scales_shear_and_side():
    turn, lean = np.radians(30), np.radians(2)
    right = 2 * np.array([np.cos(turn), np.sin(turn)])
    up = 3 * np.array([-np.sin(turn - lean), np.cos(turn - lean)])
    source = np.array([[0.0, 0], [1, 0], [0, 1], [1, 1]])
    fit = affine(source, source @ np.array([right, up]))
    assert (fit.scale_x, fit.scale_y) == pytest.approx((2, 3))
    assert fit.turn_deg == pytest.approx(30)
    assert np.degrees(fit.shear) == pytest.approx(2)
    assert fit.scale == pytest.approx(np.sqrt(6 * np.cos(lean)))
    assert not fit.mirrored
    behind = affine(source, source @ np.array([right, -up]))
    assert behind.mirrored
    assert np.degrees(behind.shear) == pytest.approx(2)


@given(st.floats(0.1, 10), st.floats(-3, 3), st.floats(-1e5, 1e5), st.floats(-1e5, 1e5))
def test_a_known_similarity_is_found(scale, turn, east, north):
    a, b = scale * np.cos(turn), scale * np.sin(turn)
    moved = np.column_stack(
        [a * SOURCE[:, 0] - b * SOURCE[:, 1] + east, b * SOURCE[:, 0] + a * SOURCE[:, 1] + north]
    )
    fit = similarity(SOURCE, moved)
    assert (fit.a, fit.b) == pytest.approx((a, b), abs=1e-6)
    assert fit.rmse < 1e-6


@given(seeds)
def test_a_known_affine_is_found(seed):
    chance = np.random.default_rng(seed)
    matrix, shift = chance.normal(size=(2, 2)), chance.uniform(-1e5, 1e5, 2)
    source = chance.uniform(-50, 50, (5, 2))
    fit = affine(source, source @ matrix.T + shift)
    assert np.array([[fit.a, fit.b], [fit.d, fit.e]]) == pytest.approx(matrix, abs=1e-7)
    assert fit.rmse < 1e-7


@given(seeds, kinds)
def test_residuals_are_square_to_all_that_was_fitted(seed, kind):
    source, target = scattered(seed, noise=0.1)
    off = KINDS[kind](source, target).residuals
    u = source - source.mean(axis=0)
    assert off.sum(axis=0) == pytest.approx([0, 0], abs=1e-6)
    assert (u * off).sum() == pytest.approx(0, abs=1e-5)
    assert (u[:, 0] * off[:, 1] - u[:, 1] * off[:, 0]).sum() == pytest.approx(0, abs=1e-5)


@given(seeds, kinds, st.permutations(range(6)))
def test_order_and_place_of_the_points_change_nothing(seed, kind, order):
    source, target = scattered(seed, noise=0.1)
    one = fitted(source, target, kind)
    other = fitted(source[order] + 1e4, target[order] - 1e4, kind)
    assert other.residuals == pytest.approx(one.residuals[order], abs=1e-6)
    assert other.scale == pytest.approx(one.scale, rel=1e-8)
    assert other.scale_sigma == pytest.approx(one.scale_sigma, rel=1e-5)


@pytest.mark.parametrize("kind", KINDS)
def test_the_scale_is_as_sure_as_it_says(kind):
    """2,000 seeded repetitions: the spread of the scale is its standard error."""
    chance = np.random.default_rng(7)
    source = np.array([[0.0, 0], [40, 5], [35, 60], [-5, 50], [20, 20]])
    scales, claims = [], []
    for _ in range(2000):
        fit = KINDS[kind](source, source + chance.normal(0, 0.1, source.shape))
        scales.append(fit.scale)
        claims.append(fit.scale_sigma**2)
    assert np.std(scales) == pytest.approx(np.sqrt(np.mean(claims)), rel=0.06)
