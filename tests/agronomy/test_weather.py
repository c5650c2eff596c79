"""Weather by days."""

import datetime as dt

import numpy as np
import pytest

from lawnmap.agronomy import growth
from lawnmap.agronomy.weather import SERIES, Weather

DAY = dt.date(2026, 4, 1)


def weather(first=DAY, **series):
    number = len(next(iter(series.values())))
    empty = dict.fromkeys(SERIES, [np.nan] * number)
    return Weather(first, **{n: np.array(v, dtype=float) for n, v in {**empty, **series}.items()})


def test_other_days_are_not_known():
    found = weather(mean_c=[5, 6, 7]).days("mean_c", dt.date(2026, 3, 31), dt.date(2026, 4, 4))
    assert found[1:4].tolist() == [5, 6, 7]
    assert np.isnan(found[[0, 4]]).all()


def test_days_far_away():
    found = weather(mean_c=[5]).days("mean_c", dt.date(1900, 1, 1), dt.date(1900, 1, 3))
    assert np.isnan(found).tolist() == [True] * 3


def test_a_gap_is_where_nothing_is_known():
    found = weather(mean_c=[5, np.nan, np.nan, np.nan, 7], rain_mm=[0, np.nan, 1, np.nan, 0])
    assert found.gaps == ((DAY + dt.timedelta(1),) * 2, (DAY + dt.timedelta(3),) * 2)
    assert found.last == dt.date(2026, 4, 5)
    assert weather(mean_c=[1, 2]).gaps == ()


def test_series_of_other_lengths_are_refused():
    with pytest.raises(ValueError, match="the same days"):
        weather(mean_c=[1, 2], rain_mm=[1, 2, 3])
    with pytest.raises(ValueError, match="at least one"):
        weather(mean_c=[])


@pytest.mark.parametrize(("base", "printed"), [(0, 13), (6, 7), (10, 3)])
def test_a_day_in_april(base, printed):
    # A supplier's article on growing-degree days of turf: high 17 and low 9 °C give 7 over 6 °C,
    # and from 13 down by the base.
    assert float(growth.degree_days(17, 9, base)) == printed


def test_degree_days_from_a_mean():
    # Midwestern Regional Climate Center, "Growing degree days": mean 75 over 65 °F gives 10.
    assert float(growth.degree_days(75, 75, 65)) == 10
