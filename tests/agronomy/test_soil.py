"""Warmth of the soil against what is published of it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy import soil

# Mean soil in Great Britain from 27 February to 26 March 2015, week by week: AHDB Dairy.
AHDB_MARCH = (4.6, 5.6, 6.1)
# Shallow soil in the UK over October: TurfPro's October item.
TURFPRO_OCTOBER = (13.0, 9.0)
SERIES = st.lists(st.floats(-20, 40) | st.just(np.nan), max_size=80).map(np.array)


def days_left(values, floor_c=6.0, below_days=5):
    return soil.days_left(np.asarray(values, dtype=float), floor_c=floor_c, below_days=below_days)


def spring(values, *, from_c=8.0, floor_c=6.0, over_days=7, season=None):
    values = np.asarray(values, dtype=float)
    season = np.ones(len(values), dtype=bool) if season is None else season
    return soil.spring_open(values, season, from_c=from_c, floor_c=floor_c, over_days=over_days)


def test_a_running_mean_looks_back_only():
    assert soil.running_mean(np.array([1.0, 2, 3, 4, 5]), 3)[2:].tolist() == [2, 3, 4]


def test_a_running_mean_wants_more_than_half():
    found = soil.running_mean(np.array([np.nan, np.nan, 4.0, 6.0]), 3)
    assert np.isnan(found[:3]).all()
    assert found[3] == 5
    assert np.isnan(soil.running_mean(np.array([np.nan, 4.0]), 2)).all()


@given(SERIES, st.integers(1, 10))
def test_a_running_mean_stays_between_its_days(values, days):
    found = soil.running_mean(values, days)
    known = found[~np.isnan(found)]
    assert len(found) == len(values)
    if len(known):
        assert np.nanmin(values) - 1e-9 <= known.min()
        assert known.max() <= np.nanmax(values) + 1e-9


def test_a_mean_year_is_that_of_each_day():
    day = np.concatenate([np.arange(366), np.arange(366)])
    found = soil.mean_year(day, np.concatenate([np.full(366, 4.0), np.full(366, 8.0)]))
    assert found.tolist() == [6.0] * 366


def test_a_leap_day_that_was_never_measured_is_as_the_day_before():
    day = np.array([each for each in range(366) if each != soil.LEAP_DAY])
    found = soil.mean_year(day, day.astype(float))
    assert found[soil.LEAP_DAY] == soil.LEAP_DAY - 1
    assert not np.isnan(found).any()


def test_october_is_not_shut_by_cooling():
    """Soil that falls from 13 to 9 °C is never "8 °C and rising", and leaves October open."""
    october = np.linspace(*TURFPRO_OCTOBER, 31)
    later = np.linspace(9, 6, 61)[1:]  # invented: on to the end of November
    left = days_left(np.concatenate([october, later]))
    assert np.isinf(left).all()
    assert not spring(october)[7:].any(), "the gate of spring would shut all that it can judge"


def test_growth_ends_when_the_soil_stays_cold():
    # AHDB Dairy 2015: grass starts at 6 °C; Vet Times 2017: five days in a row.
    left = days_left([10.0, 10, 5, 5, 5, 5, 5, 7])
    assert left.tolist() == [2, 1, 0, 0, 0, 0, 0, np.inf]


def test_four_cold_days_are_a_spell():
    assert np.isinf(days_left([10.0, 5, 5, 5, 5, 10])).all()
    assert np.isinf(days_left([1.0, 1.0])).all()


def test_march_2015_was_too_cold_for_spring_work():
    weeks = np.repeat(AHDB_MARCH, [7, 7, 14])
    assert not spring(weeks).any()
    assert spring(weeks, from_c=5.5).any()


def test_spring_opens_when_warm_and_rising_and_shuts_only_for_cold():
    soil_c = np.concatenate([np.full(8, 9.0), np.linspace(7, 9, 8), [7.5, 5, 6.5]])
    found = spring(soil_c)
    assert found[:8].tolist() == [True] * 7 + [False], "9 °C that stands still opens no spring"
    assert found[-3:].tolist() == [True, False, True]


def test_a_new_spring_opens_afresh():
    season = np.array([True] * 10 + [False] * 5 + [True] * 10)
    soil_c = np.concatenate([np.linspace(5, 10, 10), np.full(5, 12.0), np.full(10, 7.0)])
    found = spring(soil_c, season=season, over_days=2)
    assert found[:10].any()
    assert not found[10:].any()


@given(SERIES)
def test_what_is_not_known_forbids_nothing(values):
    unknown = np.isnan(values)
    assert spring(values)[unknown].all()
    left = days_left(values)
    assert len(left) == len(values)
    assert (left >= 0).all()
    assert not np.any(np.nan_to_num(values[left == 0], nan=99.0) >= 6.0)


@given(SERIES, st.floats(0, 10))
def test_warmer_soil_never_shortens_the_autumn(values, more):
    assert (days_left(values + more) >= days_left(values)).all()
    assert days_left(values).shape == pytest.approx(values.shape)
