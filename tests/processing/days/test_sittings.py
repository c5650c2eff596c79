"""Work cut into days that hold it."""

import datetime as dt
import math
from collections import defaultdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import dates
from lawnmap.logistics.work import Crew, Machine, Wait, Work
from lawnmap.processing.days import sittings
from lawnmap.processing.days.sittings import Row, steps

MACHINES = {"petrol": Machine(1, 6)}


def rows(blades_h, clearing_h):
    blades = Row(("a", "scarifying", 1), blades_h, "blades", "petrol", (), ())
    clearing = Row(
        ("a", "clearing", 1), clearing_h, "collection", None, (Wait(blades.name, 0, 0),), ()
    )
    seed = Row(("a", "overseeding", 1), 1.0, "seed", None, (Wait(clearing.name, 0, 7),), ())
    return [blades, clearing, seed]


def test_what_fits_a_day_is_not_cut():
    made = steps(rows(2, 4), Crew(1, 7), MACHINES)
    assert [step.id for step in made] == ["a scarifying 1", "a clearing 1", "a overseeding 1"]
    assert made[1].after == (Wait("a scarifying 1", 0, 0),)


def test_each_day_clears_what_its_blades_brought_up():
    """6,000 m² twice over at 798 m²/h are 15.0 h of blades: agronomy.md Y7, worked out there."""
    blades_h = 6000 * 2 / 798
    made = steps(rows(blades_h, 10), Crew(2, 8), MACHINES)
    ids = [step.id for step in made]
    assert ids == [
        "a scarifying 1/1", "a clearing 1/1", "a scarifying 1/2", "a clearing 1/2",
        "a scarifying 1/3", "a clearing 1/3", "a overseeding 1",
    ]  # fmt: skip
    assert made[0].hours == pytest.approx(5.01, abs=0.005)
    assert made[1].hours == pytest.approx(10 / 3 / 2)  # two people clear together
    assert made[2].after == (Wait("a scarifying 1/1", 1, 7),)
    assert Wait("a scarifying 1/2", 0, 0) in made[3].after
    assert made[-1].after == (Wait("a clearing 1/3", 0, 7),)


@given(st.floats(0, 60), st.floats(0, 200), st.integers(1, 4), st.floats(1, 12), st.floats(0.5, 12))
def test_no_day_holds_more_than_it_has_and_no_hour_is_lost(blades, clearing, people, day, machine):
    machines = {"petrol": Machine(1, machine)}
    made = steps(rows(blades, clearing), Crew(people, day), machines)
    taken = defaultdict(float)
    for step in made[:-1]:
        taken[step.id.partition("/")[2]] += step.minutes * step.crew
        assert step.minutes <= max(int(day * 60 + 1e-6), 1)
        if step.machine:
            assert step.minutes <= max(int(machine * 60 + 1e-6), 1)
    assert max(taken.values()) <= max(int(day * 60 + 1e-6) * people, len(made) * people)
    worked = math.fsum(step.hours * step.crew for step in made[:-1])
    assert worked == pytest.approx(blades + clearing, abs=1e-9)


@pytest.mark.parametrize(("planned", "hours"), [("fewest", 2.0), ("middle", 6.0), ("most", 18.0)])
def test_hours_between_fewest_and_most(planned, hours):
    assert sittings.hours({"hours_low": 2.0, "hours": 18.0}, planned) == pytest.approx(hours)
    assert sittings.hours({"hours_low": math.nan, "hours": math.nan}, planned) == 0.0


def test_two_machines_alike_share_a_zone_that_is_too_much_for_one():
    two, crew = {"petrol": Machine(2, 6)}, Crew(2, 8)
    made = steps(rows(10, 2), crew, two)
    ids = [step.id for step in made]
    assert ids == ["a scarifying 1/1", "a scarifying 1/2", "a clearing 1", "a overseeding 1"]
    assert [step.hours for step in made[:2]] == [5, 5]
    assert made[1].after == (Wait("a scarifying 1/1", 0, 0),)  # on the same day
    assert made[2].after == (Wait("a scarifying 1/2", 0, 0),)
    first = dt.date(2026, 9, 1)
    work = Work(tuple(made), first, first, crew, two)
    found = dates(work)
    assert {each.unit for each in found.dated if each.step.machine} == {0, 1}
    assert not broken(work, found)


def test_one_machine_does_alone_what_it_can_and_one_person_works_one_machine():
    two = {"petrol": Machine(2, 6)}
    assert steps(rows(5, 2), Crew(2, 8), two)[0].id == "a scarifying 1"
    alone = steps(rows(10, 2), Crew(1, 8), two)
    assert alone[2].after == (Wait("a scarifying 1/1", 1, 7),)  # on another day


def test_shared_machines_go_on_the_next_day():
    made = steps(rows(20, 0), Crew(2, 8), {"petrol": Machine(2, 6)})
    blades = [step for step in made if step.machine]
    assert [step.hours for step in blades] == [5, 5, 5, 5]
    assert [step.after for step in blades[1:]] == [
        (Wait("a scarifying 1/1", 0, 0),),
        (Wait("a scarifying 1/2", 1, 7),),
        (Wait("a scarifying 1/3", 0, 0),),
    ]
