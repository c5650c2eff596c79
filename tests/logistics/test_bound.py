"""The bound, worked out by hand for jobs one can see through."""

import datetime as dt

from lawnmap.logistics.bound import bound
from lawnmap.logistics.domains import allowed, groups, narrowed
from lawnmap.logistics.work import Crew, Machine, Step, Wait, Window, Work

FIRST = dt.date(2026, 9, 1)


def day(number):
    return FIRST + dt.timedelta(days=number)


def of(*steps, **changes):
    machines = {"scarifier": Machine(1, 6, hired=True)}
    work = Work(steps, FIRST, day(60), Crew(1, 8), machines, **changes)
    days = {}
    for group in groups(work):
        days |= narrowed(group, allowed(work))
    return bound(work, groups(work), days)


def test_hours_fill_days():
    found = of(*(Step(f"{n}", f"{n}", "mowing", 3) for n in range(10)))
    assert (found.visits, found.hire) == (4, 0)  # 30 h at 8 h a day


def test_a_machine_fills_its_own_days():
    found = of(*(Step(f"{n}", f"{n}", "scarifying", 3, "scarifier") for n in range(5)))
    assert (found.visits, found.hire) == (3, 3)  # 15 h at 6 h a day


def test_seasons_that_do_not_meet_add_up():
    early, late = Window(day(0), day(9)), Window(day(20), day(29))
    steps = [Step(f"{n}e", f"{n}", "iron", 5, windows=(early,)) for n in range(2)]
    steps += [Step(f"{n}l", f"{n}", "iron", 5, windows=(late,)) for n in range(2)]
    assert of(*steps).visits == 4  # 20 h would fit three days, 10 h take two on each side


def test_what_must_come_before_takes_a_visit():
    iron = Step("i", "a", "iron", 1)
    blades = [Step(f"b{n}", "a", "scarifying", 5, after=(Wait("i", 14),)) for n in range(3)]
    assert of(iron, *blades).visits == 3  # 16 h are two days; 15 h of them are not on the first


def test_waits_that_follow_from_others_count():
    # Seed 42 days after iron, blades at most 21 after it: blades and seed are 21 days apart.
    steps = (
        Step("i", "a", "iron", 1),
        Step("b", "a", "scarifying", 1, after=(Wait("i", 14, 21),)),
        Step("s", "a", "seed", 1, after=(Wait("b"), Wait("i", 42))),
    )
    assert of(*steps).visits == 3


def test_a_promise_that_cannot_be_kept():
    step = Step("i", "a", "iron", 1, windows=(Window(day(5), day(9)),))
    assert of(step, promised={"i": day(4)}).moved == 1
    assert of(step, promised={"i": day(5)}).moved == 0


def test_promises_that_cannot_be_kept_together():
    """Iron shut out for two weeks takes blades or seed with it: three promises, two are moved."""
    steps = (
        Step("i", "a", "iron", 1, windows=(Window(day(3), day(9)),)),
        Step("b", "a", "blades", 1, after=(Wait("i", 14, 28),)),
        Step("s", "a", "seed", 1, after=(Wait("b", 0, 7),)),
    )
    assert of(*steps, promised={"i": day(0), "b": day(14), "s": day(20)}).moved == 2
    assert of(*steps, promised={"i": day(0), "b": day(17), "s": day(20)}).moved == 1
