"""The second look sees each broken rule: a good schedule is spoilt in every way there is."""

import datetime as dt
from dataclasses import replace

import pytest

from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import dates
from lawnmap.logistics.work import Closed, Crew, Machine, Step, Wait, Window, Work

FIRST = dt.date(2026, 9, 1)
JOB = Work(
    (
        Step("i", "a", "iron", 2),
        Step("b", "a", "scarifying", 4, "scarifier", after=(Wait("i", 14, 21),)),
        Step("c", "b", "scarifying", 4, "scarifier", windows=(Window(FIRST, dt.date(2026, 9, 9)),)),
        Step("d", "b", "mowing", 1),
    ),
    FIRST,
    dt.date(2026, 9, 30),
    Crew(1, 7),
    {"scarifier": Machine(1, 6)},
    (Closed(dt.date(2026, 9, 5), dt.date(2026, 9, 6), "match", frozenset({"b"})),),
    frozenset(range(6)),
    {"d": dt.date(2026, 8, 30)},
)


def with_day(key, day, **changes):
    found = dates(JOB)
    return replace(
        found,
        dated=tuple(
            replace(each, day=dt.date(2026, *day), **changes) if each.step.id == key else each
            for each in found.dated
        ),
    )


def test_a_good_schedule_is_good():
    assert broken(JOB, dates(JOB)) == []


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        (with_day("b", (9, 14)), "b is before 2026-09-15, 14 days after i"),
        (with_day("b", (9, 26)), "b is after 2026-09-22, 21 days after i"),
        (with_day("c", (9, 5)), "c on 2026-09-05: closed (match)"),
        (with_day("c", (9, 10)), "c on 2026-09-10 is outside its window"),
        (with_day("i", (8, 31)), "i on 2026-08-31 is outside the days planned for"),
        (with_day("c", (9, 6)), "c on 2026-09-06: that day of the week is not worked"),
        (with_day("d", (9, 1)), "d was done on 2026-08-30 and has another day"),
        (with_day("c", (9, 1), unit=1), "c takes a machine that is not there"),
        (with_day("c", (9, 15)), "2026-09-15 has 8.00 hours of work, more than the people have"),
        (with_day("c", (9, 15)), "2026-09-15 has 8.00 hours for scarifier 1, more than a day has"),
        (replace(dates(JOB), dated=dates(JOB).dated[:-1]), "b is silently gone"),
        (replace(dates(JOB), dated=(*dates(JOB).dated, dates(JOB).dated[-1])), "too often"),
    ],
)
def test_each_broken_rule_is_seen(spoilt, said):
    assert any(said in each for each in broken(JOB, spoilt))
