"""The hostile set: every run refused in words or, of good files, accepted; and nothing else done.

Rows 1, 2, 3, 4 and 27 of docs/reliability. ``LAWNMAP_LONG=1`` makes a new process for each run;
otherwise each is a fork of one that has the libraries loaded.
"""

import os
from pathlib import Path

import pytest

from lawnmap import plugins
from lawnmap.files.kind import PROMISES
from tests.hostile import runs
from tests.hostile.the_set import GROUPS, RARE, every, runs_of

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
HOW = "each in a new process" if runs.LONG else "each in a fork"


@pytest.fixture(scope="module")
def runner(tmp_path_factory):
    """Return the runner of all groups: its server has the libraries loaded once."""
    with runs.runner(tmp_path_factory.mktemp("hostile")) as made:
        yield made


@pytest.mark.parametrize("group", GROUPS)
def test_every_run_is_answered_as_it_should_be(group, runner, figure):
    cases = runs_of(group)
    tally = runner.tally(cases)
    assert tally.wrong == {}
    assert tally.runs == len(cases)
    figure(1, f"{group}: {len(tally.wrong)} failed of {tally.runs} runs, {HOW}")
    figure(
        2,
        f"{group}: {tally.of('traceback')} tracebacks, {tally.of('exit')} signals or other codes; "
        f"slowest {tally.most_cpu_s:.1f} s of computing, most {tally.most_mb:.0f} MB",
    )
    figure(
        3,
        f"{group}: {tally.of('network')} network calls, {tally.of('secret')} marks, "
        f"{tally.of('changed', 'beside', 'left')} files beside the input, "
        f"{tally.of('code')} pieces of code run in {tally.runs} runs",
    )
    figure(4, f"{group}: {tally.accepted} of {tally.controls} good files accepted")
    figure(27, f"{group}: {tally.worded} of {tally.refused} refusals name file, place and remedy")


def test_the_set_is_whole(figure):
    cases = every()
    names = [case.name for case in cases]
    assert len(set(names)) == len(names) >= 180
    assert {case.name for case in every(rare=True)} >= RARE
    assert {case.name for case in every(rare=True) if case.code} == runs.refusals().keys()
    kinds = {
        code: {PROMISES.get(Path(case.first).suffix.lower()) for case in cases if case.code == code}
        for code in (0, 3)
    }
    readers = set(plugins.available("readers")) - {"tape"}  # a sheet is CSV by its suffix
    assert readers <= kinds[0]
    assert readers <= kinds[3]
    figure(1, f"The set: {len(cases)} runs, {sum(not case.code for case in cases)} of good files")
