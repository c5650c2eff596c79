"""Tests of the folded path of the sun."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.sunlight.path import BINS, SunPath, fold
from tests.geometry.sunlight.sky import day, season

RISES = np.tan(np.radians([0.0, 5.0, 20.0, 40.0, 59.0]))


def path(*samples: tuple[float, float, float]) -> SunPath:
    return SunPath(*np.array(samples, dtype=float).T)


def test_hours_are_those_of_the_sun_above_the_level():
    sun = fold(path((90, 10, 1), (91.5, -1, 2), (200, 0, 4), (270, 20, 8), (271.5, 20, 0)), BINS)
    assert sun.total_h == 9
    assert sun.bearing_deg.tolist() == [90, 270]


def test_day_has_as_many_hours_as_the_spherical_triangle_says():
    half = np.degrees(np.arccos(-np.tan(np.radians(53.8)) * np.tan(np.radians(20)))) / 15
    assert fold(day(53.8, 20, 1)).total_h == pytest.approx(2 * half, abs=1 / 60)


def test_bearing_of_a_bin_is_the_mean_of_the_sun_in_it_by_hours():
    sun = fold(path((90.1, 10, 1), (90.9, 11, 3), (359.9, 5, 1), (-1e-20, 5, 1)), BINS)
    assert sun.bearing_deg == pytest.approx([0, 90.7, 359.9])


def test_day_has_a_bin_for_each_sample_and_a_season_one_for_each_degree():
    one, many = day(53.8, 0, 2), season(53.8, 30, 10)
    assert len(fold(one).bearing_deg) > 0.9 * (one.elevation_deg > 0).sum()
    assert 180 < len(fold(many).bearing_deg) < 360


def test_order_of_samples_is_of_no_account():
    whole = season(53.8, 5, 10)
    mixed = np.random.default_rng(1).permutation(len(whole.hours))
    one, other = fold(whole), fold(SunPath(*(column[mixed] for column in whole)))
    assert np.allclose(one.bearing_deg, other.bearing_deg)
    assert np.allclose(one.before_h, other.before_h)


def test_hours_above_a_rise_are_those_of_the_samples_above_it():
    whole = season(53.8, 40, 10)
    sun = fold(whole)
    ends = sun.place(np.arange(len(sun.bearing_deg)), np.full(len(sun.bearing_deg), np.inf))
    for rise in RISES:
        begins = sun.place(np.arange(len(ends)), np.full(len(ends), rise))
        above = np.tan(np.radians(whole.elevation_deg)) > rise
        hours = (sun.before_h[ends] - sun.before_h[begins]).sum()
        # A class is at most 0.07° of elevation here: three samples of 40 days, twice a day.
        assert hours == pytest.approx(whole.hours[above].sum(), abs=6 * 10 / 60)


def test_lowest_and_highest_are_the_sun_s_own():
    sun = fold(path((90.1, 10, 1), (90.9, 30, 1), (180, 45, 1)), BINS)
    degrees = np.degrees(np.arctan([sun.lowest, sun.highest]))
    assert degrees[0] == pytest.approx([10, 45], abs=0.07)
    assert degrees[1] == pytest.approx([30, 45], abs=0.07)
    assert (degrees[0] <= [10, 45]).all()
    assert (degrees[1] >= [30, 45]).all()


def test_sun_overhead_is_above_everything_but_infinity():
    sun = fold(path((180, 90, 1)))
    place = sun.place(np.zeros(2, dtype=int), np.array([1e3, np.inf]))
    assert (sun.before_h[-1] - sun.before_h[place]).tolist() == [1, 0]


def test_night_has_no_bins():
    sun = fold(day(85, -20))
    assert sun.total_h == 0
    assert len(sun.bearing_deg) == 0


@given(st.integers(4, 720), st.floats(-66, 66), st.floats(-23, 23))
def test_no_hour_is_lost_or_found(bins: int, latitude: float, declination: float):
    whole = day(latitude, declination, 20)
    sun = fold(whole, bins)
    assert sun.total_h == pytest.approx(whole.hours[whole.elevation_deg > 0].sum())
    assert (np.diff(sun.bearing_deg) > 0).all()
    assert (np.diff(sun.before_h) >= 0).all()
