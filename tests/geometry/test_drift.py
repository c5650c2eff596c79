"""The error of a walked area, against its formula written out, published ones, and chance."""

import sys
from pathlib import Path

import numpy as np
import pytest

from lawnmap.geometry.drift import area_sigma
from lawnmap.processing.entering.walks import REACHES_M
from tests.geometry.test_walk import area, walked

sys.path.insert(0, str(Path(__file__).parents[2] / "sample_geo"))
import garden

REACHES = list(REACHES_M)
FIELD = [(0, 0), (20, 0), (20, 50), (0, 50)]


def covariance(places, fades):
    return np.exp(-np.abs(places[:, None] - places) / fades)


def by_pairs(ring, sigma, reach):
    """Return the standard error by the sums over all pairs, without any short cut."""
    places = np.r_[0, np.cumsum(np.hypot(*np.diff(ring, axis=0).T))]
    kept = sigma**2 * covariance(places, reach)
    spans = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    turned = np.roll(kept, -1, axis=0)
    enclosed = (kept * np.roll(turned, -1, axis=1) - turned * np.roll(kept, -1, axis=1)).sum() / 2
    return np.sqrt(((spans @ spans.T) * kept).sum() / 4 + enclosed)


@pytest.mark.parametrize("reach", [0.5, *REACHES, 500.0])
@pytest.mark.parametrize("name", garden.ZONES)
def test_the_short_way_is_the_long_one(name, reach):
    ring, _ = walked(garden.ZONES[name])
    assert area_sigma(ring, 3, reach) == pytest.approx(by_pairs(ring, 3, reach), rel=1e-9)


@pytest.mark.parametrize(("sigma", "expected"), [(0.05, 2.693), (1, 53.9), (3, 161.6)])
def test_four_corners_far_apart_are_independent(sigma, expected):
    # A rectangle is out by sigma times its diagonal: Bondesson, Ståhl & Holm, Forest Science 44(3)
    # (1998) 405-413. What the errors enclose by themselves adds sigma^4 n/2 to the variance.
    by_itself = sigma**4 / 2 * 4
    error = area_sigma(np.array(FIELD, dtype=float), sigma, 1e-3)
    assert np.sqrt(error**2 - by_itself) == pytest.approx(expected, rel=1e-3)


def test_an_outline_that_only_moves_keeps_its_area():
    ring, _ = walked(FIELD)
    assert area_sigma(ring, 3, 1e9) < 0.1


def test_more_fixes_do_not_make_a_better_walk():
    # Taken as independent, ten times the fixes would look three times as good.
    few, many = (walked(FIELD, step)[0] for step in (2.0, 0.2))
    for reach in REACHES:
        assert area_sigma(many, 3, reach) == pytest.approx(area_sigma(few, 3, reach), rel=0.05)


def test_no_smaller_than_what_was_found_in_the_field():
    # The, Ginet, Giraud & Bouvet, Revue forestière française 56(6) (2004) 529-536: consumer GPS
    # round 1 ha in the open was out by 1.6 % (± 1.6 %).
    ring, _ = walked([(0, 0), (100, 0), (100, 100), (0, 100)])
    assert 1.96 * max(area_sigma(ring, 3, reach) for reach in REACHES) > 160


@pytest.mark.parametrize("fades", [30, 45, 60])
@pytest.mark.parametrize("name", garden.ZONES)
def test_walks_lie_within_the_error_claimed(name, fades):
    # 300 walks a zone and a time that errors last, a fix a second at 1 m/s, out by 3 m.
    true, places = walked(garden.ZONES[name])
    root = np.linalg.cholesky(covariance(places, fades))
    chance = np.random.default_rng(2027)
    inside = 0
    for _ in range(300):
        ring = true + 3 * root @ chance.standard_normal(true.shape)
        claimed = max(area_sigma(ring, 3, reach) for reach in REACHES)
        inside += abs(area(ring) - garden.area(garden.ZONES[name])) <= 1.96 * claimed
    assert inside >= 0.93 * 300


@pytest.mark.parametrize("reach", REACHES)
def test_the_formula_is_the_spread_of_walks(reach):
    true, places = walked(garden.ZONES["Back lawn"])
    root = np.linalg.cholesky(covariance(places, reach))
    chance = np.random.default_rng(2027)
    areas = [area(true + 3 * root @ chance.standard_normal(true.shape)) for _ in range(2000)]
    # The spread of 2,000 is itself known to 1.6 %.
    assert area_sigma(true, 3, reach) == pytest.approx(np.std(areas), rel=0.05)
