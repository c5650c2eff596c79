"""Leaf and season by hemisphere."""

import datetime as dt

import pytest

from lawnmap.processing.sun import leaf
from lawnmap.reference import tables


def bare_days(first, days, latitude):
    return int((~leaf.in_leaf(first, days, latitude)).sum())


def test_trees_are_in_leaf_in_summer_on_both_sides_of_the_earth():
    january, july = dt.date(2026, 1, 15), dt.date(2026, 7, 15)
    assert leaf.in_leaf(july, 1, 53.8)[0]
    assert not leaf.in_leaf(january, 1, 53.8)[0]
    assert leaf.in_leaf(january, 1, -37.8)[0]
    assert not leaf.in_leaf(july, 1, -37.8)[0]


def test_the_year_has_as_many_bare_days_on_both_sides():
    out, off = (tables.value(name).number for name in ("leaf_out_day", "leaf_off_day"))
    assert bare_days(dt.date(2026, 1, 1), 365, 50) == 365 - (off - out)
    assert bare_days(dt.date(2026, 1, 1), 365, -50) == pytest.approx(365 - (off - out), abs=1)


def test_what_passes_a_crown():
    assert leaf.passes("evergreen")[0] == leaf.passes("evergreen")[1]
    in_leaf, bare = leaf.passes("deciduous")
    # Konarska and others, Theoretical and Applied Climatology 117 (2014), as quoted elsewhere.
    assert 0.013 <= in_leaf <= 0.053
    assert 0.402 <= bare <= 0.519


@pytest.mark.parametrize(
    ("latitude", "first", "last"),
    [(53.8, "2028-04-01", "2028-09-30"), (-37.8, "2028-10-01", "2029-03-31")],
)
def test_the_growing_season(latitude, first, last):
    assert [each.isoformat() for each in leaf.season(2028, latitude)] == [first, last]
