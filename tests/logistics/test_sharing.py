"""Whole visits: what a day must have room for before a visit to one of many sites is begun."""

import datetime as dt

from lawnmap.logistics.dates import dates
from lawnmap.logistics.domains import groups
from lawnmap.logistics.sharing import Whole, visits
from lawnmap.logistics.work import Crew, Machine, Step, Wait, Work

FIRST = dt.date(2026, 9, 7)


def site(name, hours):
    """Return two zones: raking and clearing on one day, seed a week later."""
    return tuple(
        step
        for zone in (f"{name} a", f"{name} b")
        for step in (
            Step(f"{zone} rake", zone, "rake", hours, "rake", site=name),
            Step(f"{zone} clear", zone, "clear", 1.0, crew=2, site=name,
                 after=(Wait(f"{zone} rake", 0, 0),)),
            Step(f"{zone} seed", zone, "seed", 0.5, site=name, after=(Wait(f"{zone} rake", 7),)),
        )
    )  # fmt: skip


def work(*steps):
    last = FIRST + dt.timedelta(days=40)
    return Work(tuple(steps), FIRST, last, Crew(2, 6), {"rake": Machine(1, 6)})


def test_steps_that_need_no_night_between_them_are_one_visit():
    job = work(*site("s", 2.0), *site("t", 1.0))
    whole = visits(job, groups(job))
    # Two zones: 2 × (2 h + 2 people × 1 h) = 8 h of people, 4 h of the machine.
    assert whole["s a rake"] == whole["s b clear"] == Whole(480, (("rake", 240),))
    assert whole["t a seed"] == Whole(60, ())


def test_of_one_site_nothing_is_asked_and_more_than_a_day_is_a_day():
    assert visits(work(*site("s", 2.0)), groups(work(*site("s", 2.0)))) == {}
    job = work(*site("s", 5.9), *site("t", 1.0))
    assert visits(job, groups(job))["s a rake"] == Whole(720, (("rake", 360),))


def test_no_visit_is_begun_on_a_day_too_full_to_end_it():
    job = work(*(step for name in "rstu" for step in site(name, 1.5)))
    found = dates(job)
    # 3 h of the machine a site: two sites fill its day, and none is visited for half of it.
    assert len(found.visits) == found.bound.visits == 8
