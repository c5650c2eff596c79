"""What goes into a schedule: its order, its parts, and what is refused."""

import datetime as dt
from dataclasses import replace

import pytest

from lawnmap.logistics.work import Crew, Machine, Step, Wait, Work, in_order, parts

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


def test_fifteen_hours_of_blades_are_three_days():
    # The 6,000 m² estate of the scenarios: 15 h of blades do not fit two days of 7 h.
    steps = (
        Step("iron", "estate", "iron", 2),
        Step("blades", "estate", "scarifying", 15, after=(Wait("iron", 14),)),
        Step("seed", "estate", "overseeding", 2, after=(Wait("blades", 0, 7),)),
    )
    found = {step.id: step for step in parts(steps, 7)}
    assert list(found) == ["iron", "blades/1", "blades/2", "blades/3", "seed"]
    assert found["blades/1"].after == (Wait("iron", 14),)
    assert found["blades/2"].after == (Wait("blades/1", 1, 7),)
    assert found["seed"].after == (Wait("blades/3", 0, 7),)
    assert sum(found[f"blades/{n}"].hours for n in (1, 2, 3)) == pytest.approx(15)
    with pytest.raises(ValueError, match="hours"):
        parts(steps, 0)


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
