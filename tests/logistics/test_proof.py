"""The solver against the list and against every choice there is."""

import datetime as dt
import random
import sys
from dataclasses import replace
from importlib import util
from pathlib import Path

import pytest

from lawnmap.errors import ExtraNeeded
from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import dates
from lawnmap.logistics.proof import AIMS, prove
from lawnmap.logistics.work import Closed, Crew, Machine, Step, Wait, Work

SPEC = util.spec_from_file_location("dates_brute", Path(__file__).with_name("dates_brute.py"))
brute = util.module_from_spec(SPEC)
SPEC.loader.exec_module(brute)


@pytest.mark.parametrize("seed", range(12))
def test_the_solver_agrees_with_every_choice(seed):
    pytest.importorskip("scipy")
    job = brute.small_job(seed)
    found = prove(job, seconds=30)
    assert found.proven == AIMS
    assert found.told().endswith("finish.")
    assert not broken(job, found.schedule)
    dated = {each.step.id for each in found.schedule.dated} - set(job.done)
    moved = sum(each.step.id in dated for each in found.schedule.moved)
    schedule = found.schedule
    counts = len(schedule.undated), moved, len(schedule.visits), len(schedule.hire)
    assert counts == brute.best(job)
    last = max(each.day for each in schedule.dated)
    assert last == max(each.day for each in dates(job).dated)


def thirty_zones(seed):
    """Return twelve weeks of iron, blades and seed with rain: a week's work for two people."""
    source = random.Random(seed)
    first = dt.date(2026, 8, 3)
    steps = []
    for number in range(30):
        iron, blades, seed_h = (
            source.uniform(*each) for each in ((0.1, 0.4), (0.3, 2), (0.1, 0.5))
        )
        zone, machine = f"z{number:02d}", f"scarifier_{number % 2}"
        cut = Step(f"{zone}.2", zone, "blades", blades, machine, after=(Wait(f"{zone}.1", 14, 28),))
        steps += [Step(f"{zone}.1", zone, "iron", iron), cut]
        steps.append(Step(f"{zone}.3", zone, "seed", seed_h, after=(Wait(cut.id, 0, 7),)))
    rain = [first + dt.timedelta(days=source.randrange(84)) for _ in range(12)]
    return Work(
        tuple(steps),
        first,
        first + dt.timedelta(days=83),
        Crew(2, 8),
        {f"scarifier_{number}": Machine(1, 8, hired=True) for number in range(2)},
        tuple(Closed(day, day, "rain") for day in rain),
        frozenset(range(5)),
    )


@pytest.mark.parametrize("seed", range(10))
def test_thirty_zones_are_proven(seed):
    """60 s are asked; measured 0.2 to 0.7 s of processor time."""
    pytest.importorskip("scipy")
    job = thirty_zones(seed)
    found = prove(job, seconds=120)
    assert found.proven == AIMS
    assert not broken(job, found.schedule)
    assert "may be possible" not in found.schedule.told()
    listed = dates(job)
    assert len(found.schedule.visits) <= len(listed.visits)


def test_two_machines_alike_are_counted_each_for_itself():
    """Three steps of 4 h do not fit two machines of 6 h, though 12 h would."""
    pytest.importorskip("scipy")
    first = dt.date(2026, 9, 1)
    steps = tuple(Step(name, name, "blades", 4, "petrol") for name in "abc")
    machines = {"petrol": Machine(2, 6, hired=True)}
    work = Work(steps, first, first + dt.timedelta(days=4), Crew(3, 7), machines)
    found = prove(work)
    assert found.proven == AIMS
    assert not broken(work, found.schedule)
    assert (len(found.schedule.visits), len(found.schedule.hire)) == (2, 3)
    # Two of them on the first day and one on the second: three units of a day, none with two steps.
    assert len({(each.day, each.unit) for each in found.schedule.dated}) == 3


def test_what_was_done_on_a_day_of_the_plan_counts_nothing_new():
    """A step on record on the first day leaves the day free for the rest: one visit, no more."""
    pytest.importorskip("scipy")
    first = dt.date(2026, 9, 1)
    steps = (Step("a", "a", "iron", 1), Step("b", "b", "iron", 1))
    work = Work(steps, first, first + dt.timedelta(days=4), Crew(1, 7), done={"a": first})
    found = prove(work)
    assert found.proven == AIMS
    assert found.schedule.visits == (("", first),)


def test_nothing_is_proven_without_time():
    job = replace(thirty_zones(1), closed=())
    pytest.importorskip("scipy")
    found = prove(job, seconds=0)
    assert found.proven == ("steps without a date", "promised dates moved")
    assert "not proven: visit days" in found.told()


def test_without_the_solver_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)
    with pytest.raises(ExtraNeeded, match=r"lawnmap\[schedule\]"):
        prove(brute.small_job(1))
