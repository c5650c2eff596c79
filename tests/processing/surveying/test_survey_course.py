"""Every look at every zone, by day, and no core twice."""

import datetime as dt

import pytest

from lawnmap.processing.surveying.survey_course import COLUMNS, Dated, course
from tests.processing.surveying.test_compare import EMPTY, frames, thatch, zone

DAYS = [dt.date(2027, 3, 1), dt.date(2027, 10, 1), dt.date(2028, 3, 1)]


def dated(*sites):
    return [
        Dated(day.isoformat(), day, EMPTY.with_features(features))
        for day, features in zip(DAYS, sites, strict=False)
    ]


def test_looks_in_the_order_of_the_days():
    one = [zone("b", 30, moss_rating=3), zone("a", name="Front"), *frames(60), *thatch(18, 22)]
    two = [zone("b", 30), zone("a", name="Front"), *frames(30)]
    table = course(dated(one, two))
    assert list(table.columns) == list(COLUMNS)
    rows = [(r["zone_id"], r["measure"], r["survey"], r["at"]) for _, r in table.iterrows()]
    assert rows[1:] == [
        ("a", "moss cover", "2027-03-01", 60), ("a", "thatch", "2027-03-01", 20),
        ("a", "moss cover", "2027-10-01", 30),
    ]  # fmt: skip
    rated = table.iloc[0]
    assert (rated["zone_id"], rated["rests_on"]) == ("b", "rated by eye")
    assert (rated["low"], rated["high"]) == (25, 50)
    assert set(table["name"]) == {"", "Front"}
    # Wilson, 60 of 100: 50.2 to 69.1 (Newcombe 1998, by hand).
    assert table.loc[table["at"] == 60, "low"].item() == pytest.approx(50.2, abs=0.02)


def test_a_core_that_stood_before_was_not_taken_again():
    old = frames(60)
    table = course(dated([zone(), *old], [zone(), *old, *frames(30, x=8)]))
    assert list(table["at"]) == [60, 30]
    assert list(table["samples"]) == [100, 100]


def test_a_zone_that_is_gone_comes_last():
    table = course(dated([zone("a", moss_rating=1)], [zone("b", 30, moss_rating=2)]))
    assert list(table["zone_id"]) == ["b", "a"]


def test_nothing_seen():
    assert course(dated([zone()])).empty
    assert course([]).empty
