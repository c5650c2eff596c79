"""Days of the year, north and south."""

import datetime as dt
from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.processing.days import season_days
from lawnmap.reference import tables

DATES = st.dates(dt.date(1950, 1, 1), dt.date(2090, 12, 31))
ROWS = st.sampled_from(tables.seasons())


def test_six_months_on():
    assert season_days.half_a_year_on((8, 15)) == (2, 15)
    assert season_days.half_a_year_on((8, 31)) == (2, 29)
    assert season_days.half_a_year_on((3, 15)) == (9, 15)
    assert season_days.half_a_year_on((11, 30)) == (5, 31)


@given(ROWS)
def test_twelve_months_on_is_the_same_day(row):
    for at in (row.first, row.last):
        assert season_days.half_a_year_on(season_days.half_a_year_on(at)) == at


@given(ROWS, DATES)
def test_the_halves_of_the_earth_mirror_each_other(row, day):
    """A day is in season in the south when the day six months on is in the north."""
    month, number = season_days.half_a_year_on((day.month, day.day))
    if number > 28 or day.day > 28:
        return  # months differ in length; their ends are held to each other above
    other = dt.date(day.year, month, number)
    asked = [np.array([np.datetime64(each)]) for each in (day, other)]
    south = season_days.in_season(asked[0], row.first, row.last, south=True)
    north = season_days.in_season(asked[1], row.first, row.last, south=False)
    assert south.tolist() == north.tolist()


@given(DATES)
def test_the_day_of_a_leap_year(day):
    found = season_days.day_of_year(season_days.span(day, day))
    # The standard library counts the same in a leap year.
    leap = dt.date(2028, day.month, day.day)
    assert found.tolist() == [leap.timetuple().tm_yday - 1]


@given(st.lists(st.booleans(), max_size=60), DATES)
def test_windows_hold_the_days_of_a_mask(mask, first):
    found = season_days.windows(np.array(mask, dtype=bool), first)
    held = {
        (start - first).days + each
        for start, end in found
        for each in range((end - start).days + 1)
    }
    assert held == {place for place, each in enumerate(mask) if each}
    assert all(one[1] + dt.timedelta(1) < two[0] for one, two in pairwise(found))
