"""The solver against the list and against every choice there is."""

import sys
from importlib import util
from pathlib import Path

import pytest

from lawnmap.errors import ExtraNeeded
from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import dates
from lawnmap.logistics.proof import AIMS, prove

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


def test_without_the_solver_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)
    with pytest.raises(ExtraNeeded, match=r"lawnmap\[schedule\]"):
        prove(brute.small_job(1))
