"""A run over many sites that is killed goes on, and two runs do not write into one folder."""

import dataclasses
import os
import random
import signal
import time

import pytest

from lawnmap.errors import Busy
from lawnmap.jobs.sites import planned, written
from lawnmap.jobs.sites.run import run
from tests.faults.writers import left
from tests.jobs.sites import gardens
from tests.jobs.sites.gardens import Ear, planned_alone, tables_of, wanted
from tests.store.child import forked

LONG = os.environ.get("LAWNMAP_LONG") == "1"
KILLS = 200 if LONG else 12
SITES = 6


@pytest.fixture(scope="module")
def top(memory):
    """Make a folder of small gardens, and let planning take no time: that is not looked at here."""
    gardens.depot(memory / "gardens")
    for number in range(SITES):
        gardens.write(memory / "gardens" / f"garden-{number}", number)
    model = planned_alone(memory / "gardens" / "garden-0", memory)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(planned, "plan_of", lambda site, *_, **__: (_of(model, site), None))
        patch.setattr(written, "papers", lambda *_, **__: {"map.html": b"map " * 1000})
        yield memory / "gardens"


def _of(model, site):
    time.sleep(0.005)
    return dataclasses.replace(model, site=site)


def go(top, out):
    return run(top, out, wanted(top.parent), Ear())


def test_a_run_that_is_killed_goes_on_and_comes_to_the_same(top, memory, figure):
    go(top, memory / "whole")
    whole = tables_of(memory / "whole")
    began = time.perf_counter()
    go(top, memory / "timed")
    takes = time.perf_counter() - began
    chance, most, killed = random.Random(20261126), 0, 0
    for number in range(KILLS):
        out = memory / f"out-{number % 4}"  # the fourth kill of each meets what three have left
        pid = forked(lambda out=out: go(top, out))
        time.sleep(chance.uniform(0, takes))
        os.kill(pid, signal.SIGKILL)
        killed += os.WIFSIGNALED(os.waitpid(pid, 0)[1])
        most = max(most, len(left(out)) if out.exists() else 0)
        for path in out.glob("*.csv"):
            assert path.read_bytes() == whole[path.stem]
    for number in range(4):
        out = memory / f"out-{number}"
        go(top, out)
        assert tables_of(out) == whole
        assert left(out) == []
    assert most <= 1
    assert killed > KILLS / 2
    figure(
        9,
        f"Run over many sites: {killed} kills at random moments: 0 half files, {most} file left "
        f"at most, 4 of 4 folders came to the same when run again",
    )


def test_two_runs_do_not_write_into_one_folder(top, memory, figure):
    out = memory / "both"

    def other():
        try:
            go(top, out)
        except Busy as error:
            os._exit(error.exit_code)

    codes = []
    for _ in range(3):
        pids = [forked(other), forked(other)]
        codes += [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in pids]
    assert set(codes) <= {0, 6}
    assert codes.count(0) >= 3
    assert tables_of(out) == tables_of(memory / "whole")
    assert left(out) == []
    figure(
        13,
        f"Two runs over many sites into one folder, 3 times: {codes.count(0)} done, "
        f"{codes.count(6)} turned away with exit code 6, the results whole",
    )
