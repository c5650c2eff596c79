"""Work put beside what has its days, as much of it as there is room for."""

import datetime as dt

from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import dates
from lawnmap.logistics.topping import topped_up
from lawnmap.logistics.work import Crew, Step, Wait, Window, Work

FIRST = dt.date(2026, 9, 7)  # a Monday


def less(group):
    """Yield a group, then without its last step, and so on."""
    for many in range(len(group), 0, -1):
        yield group[:many]


def day(number):
    return FIRST + dt.timedelta(days=number)


def lawns(number, hours=4.0):
    """Return zones whose two steps, a week apart, fill half a day of the one person each."""
    return tuple(
        step
        for zone in (f"z{each}" for each in range(number))
        for step in (
            Step(f"{zone} iron", zone, "iron", hours),
            Step(f"{zone} seed", zone, "seed", hours, after=(Wait(f"{zone} iron", 7),)),
        )
    )


def work(steps, last):
    return Work(steps, FIRST, day(last), Crew(1, 8))


def test_the_last_job_is_left_out_and_the_first_is_done():
    # Ten days of two halves: nine lawns need 18 halves, but only three days lie a week after
    # others, so 6 lawns have both jobs at the most.
    job = work(lawns(9), 9)
    schedule = dates(job, told=False)
    left, found, reasons = topped_up(job, job, schedule, less)
    assert broken(left, found) == []
    on = {each.step.id for each in found.dated}
    assert sum(key.endswith("seed") for key in on) == 6
    assert sum(key.endswith("iron") for key in on) == 9
    assert set(reasons) == {step.id for step in job.steps} - on
    assert all("the days it may have are full" in each for each in reasons.values())


def test_days_that_were_closed_to_the_first_list_are_open_to_what_is_left():
    early = (Window(FIRST, day(1)),)
    steps = tuple(Step(f"z{n}", f"z{n}", "iron", 4.0) for n in range(6))
    whole = work(steps, 9)
    cut = work(tuple(Step(s.id, s.zone, "iron", 4.0, windows=early) for s in steps), 9)
    schedule = dates(cut, told=False)
    assert len(schedule.undated) == 2
    left, found, reasons = topped_up(whole, cut, schedule, less)
    assert reasons == {}
    assert broken(left, found) == []
    assert sum(each.day > day(1) for each in found.dated) == 2


def test_a_longest_wait_from_the_record_gives_way_before_a_job_does():
    steps = (
        Step("old", "a", "iron", 0.0),
        Step("rake", "a", "rake", 2.0, after=(Wait("old", 1, 5),)),
        *(Step(f"z{n}", f"z{n}", "iron", 8.0, windows=(Window(FIRST, day(3)),)) for n in range(4)),
    )
    job = Work(steps, FIRST, day(9), Crew(1, 8), done={"old": day(-2)})
    # By itself the rake would have a day in time; the rest is given its days first.
    rest = dates(Work(steps[2:], FIRST, day(9), Crew(1, 8)), told=False)
    alone = dates(Work(steps[:2], FIRST, day(0), Crew(1, 1), done={"old": day(-2)}), told=False)
    assert len(alone.undated) == 1
    schedule = type(rest)(**{**vars(rest), "undated": alone.undated})
    left, found, reasons = topped_up(job, job, schedule, less)
    assert reasons == {}
    assert {each.step.id: each.day for each in found.dated}["rake"] == day(4)
    assert left.by_id["rake"].after == (Wait("old", 1, None, 5),)
