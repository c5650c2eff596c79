"""What is said of zones that find no date by themselves: the same as if each were asked alone."""

import datetime as dt
from dataclasses import replace

from lawnmap.logistics import reasons
from lawnmap.logistics.alone import Alone
from lawnmap.logistics.domains import groups
from lawnmap.logistics.work import Closed, Crew, Step, Wait, Window, Work

FIRST = dt.date(2026, 9, 7)


def day(number):
    return FIRST + dt.timedelta(days=number)


def pair(zone, *, hours=1.0, last=3):
    return (
        Step(f"{zone} iron", zone, "iron", hours),
        Step(
            f"{zone} seed",
            zone,
            "seed",
            hours,
            after=(Wait(f"{zone} iron", 7),),
            windows=(Window(FIRST, day(last)),),
        ),
    )


def work(*steps, **changes):
    made = Work(tuple(steps), FIRST, day(30), Crew(1, 6))
    return replace(made, **changes)


def test_each_zone_is_told_by_its_own_name_and_only_one_was_looked_through(monkeypatch):
    asked = []
    real = reasons.alone
    monkeypatch.setattr(
        reasons, "alone", lambda job, group: asked.append(group) or real(job, group)
    )
    job = work(*(step for zone in "abc" for step in pair(zone)))
    alone = Alone(job)
    said = [alone.why(group) for group in groups(job)]
    assert len(asked) == 1
    for zone, group, sentence in zip("abc", groups(job), said, strict=True):
        assert sentence == real(job, group)  # word for word what asking it alone would say
        assert f"seed on {zone} finds no date" in sentence
        assert f"the season of seed on {zone}" in sentence


def test_what_differs_between_zones_is_told_of_each():
    shut = Closed(FIRST, day(30), "exams", frozenset("b"))
    job = work(*pair("a", last=30), *pair("b", last=30), *pair("c", hours=9.0), closed=(shut,))
    alone = Alone(job)
    first, second, third = (alone.why(group) for group in groups(job))
    assert first == ""
    assert "exams" in second
    assert "takes 9.0 h and a day has 6.0 h" in third


def test_what_is_on_record_counts_as_it_does_when_asked_alone():
    steps = (Step("old", "a", "mowing", 0.0), Step("new", "a", "iron", 1.0,
             after=(Wait("old", 40),)))  # fmt: skip
    job = work(*steps, done={"old": day(-1)})
    (group,) = groups(job)
    assert Alone(job).why(group) == reasons.alone(job, group)
    assert "the wait of at least 40 days from mowing on a" in Alone(job).why(group)
