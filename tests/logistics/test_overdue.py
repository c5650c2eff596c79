"""Longest waits from the record: kept while they can be, else given up and told."""

import datetime as dt

from lawnmap.logistics.dates import dates
from lawnmap.logistics.overdue import caught_up, released, told
from lawnmap.logistics.work import Closed, Crew, Step, Wait, Window, Work

FIRST = dt.date(2026, 9, 1)


def day(number):
    return FIRST + dt.timedelta(days=number)


def work(done, *, closed=(), windows=()):
    steps = (
        Step("iron", "a", "iron", 1),
        Step("blades", "a", "blades", 1, after=(Wait("iron", 14, 21),)),
        Step("seed", "a", "seed", 1, after=(Wait("blades", 0, 7),), windows=windows),
    )
    made = Work(steps, FIRST, day(60), Crew(1, 8), closed=closed, done={"iron": day(done)})
    return caught_up(made)


def test_what_can_be_done_in_time_is_done_in_time():
    """Seed has a season from day 30 on, and would pull the blades to it: 23 days are too many."""
    job = work(-2, windows=(Window(day(15), day(60)),))
    found = {each.step.id: each.day for each in dates(job).dated}
    assert (found["blades"] - day(-2)).days <= 21
    assert told(job, job.steps[1], found["blades"]) == ""


def test_what_cannot_is_done_later_and_told():
    job = work(-20, closed=(Closed(day(0), day(4), "rain"),))
    found = {each.step.id: each.day for each in dates(job).dated}
    assert found["blades"] == day(5)
    assert told(job, job.steps[1], day(5)) == (
        "blades on a on 2026-09-06 is 25 days after iron on a, done on 2026-08-12: it should be at "
        "most 21 days after it, which cannot be had any more"
    )


def test_a_season_that_never_comes_gives_no_wait_up():
    job = work(-2, windows=(Window(day(-9), day(-8)),))
    assert job.steps[1].after == (Wait("iron", 14, 21),)
    assert released(job, {"blades"}).steps[1].after == (Wait("iron", 14, None, 21),)
