"""What goes into a schedule: its order, and what is refused."""

import datetime as dt
from dataclasses import replace

import pytest

from lawnmap.logistics.work import Crew, Machine, Step, Wait, Work, in_order

FIRST = dt.date(2026, 9, 1)


def made(*steps, **changes):
    return replace(Work(steps, FIRST, FIRST + dt.timedelta(days=30), Crew(1, 7)), **changes)


def test_steps_follow_what_they_wait_for():
    steps = (
        Step("b", "z", "seed", 1, after=(Wait("c"),)),
        Step("c", "z", "blades", 1, after=(Wait("d"),)),
        Step("d", "z", "iron", 1),
        Step("a", "y", "iron", 1),
    )
    assert [step.id for step in in_order(steps)] == ["a", "d", "c", "b"]


def test_minutes_are_never_too_few():
    assert Step("a", "a", "x", 1 / 3).minutes == 20
    assert Step("a", "a", "x", 0.3334).minutes == 21


STEP = Step("a", "a", "iron", 1)


@pytest.mark.parametrize(
    ("steps", "changes", "message"),
    [
        ((STEP, STEP), {}, "share an id"),
        ((replace(STEP, after=(Wait("b"),)),), {}, "no step"),
        ((replace(STEP, after=(Wait("a"),)),), {}, "circle"),
        ((replace(STEP, after=(Wait("a", 5, 4),)),), {}, "fewer than the least"),
        ((replace(STEP, hours=float("nan")),), {}, "hours"),
        ((STEP,), {"last": dt.date(2026, 8, 1)}, "before the first"),
        ((STEP,), {"crew": Crew(0, 7)}, "somebody"),
        ((STEP,), {"machines": {"rake": Machine(0, 7)}}, "rake"),
    ],
)
def test_what_cannot_be_is_refused(steps, changes, message):
    with pytest.raises(ValueError, match=message):
        made(*steps, **changes)
