"""Side by side, every task is done once, whatever becomes of the worker."""

import math
import os
import signal
import time
from contextlib import closing
from pathlib import Path

import pytest

from lawnmap.jobs.sites.workers import side_by_side


@pytest.mark.parametrize("workers", [1, 3])
def test_every_task_is_done_once(workers):
    tasks = list(range(20))
    done = dict(side_by_side(math.factorial, tasks, workers))
    assert done == {task: math.factorial(task) for task in tasks}


def test_a_task_over_which_workers_die_is_given_up_and_no_other(tmp_path):
    good = [str(tmp_path / "a"), str(tmp_path / "b")]
    # Ending its own process is what a worker does with a number here, making a folder else.
    tasks = [7, *good, 8]
    done = list(side_by_side(_made_or_ended, tasks, 2))
    assert {task for task, result in done if result is None} == {7, 8}
    assert sorted(task for task, result in done if result) == good
    assert len(done) == len(tasks)


def _made_or_ended(task):
    if isinstance(task, int):
        os._exit(task)
    Path(task).mkdir()
    return task


def test_leaving_early_ends_the_workers():
    with closing(side_by_side(math.factorial, range(100), 2)) as running:
        task, result = next(running)
    assert result == math.factorial(task)
    assert running.gi_frame is None


class _Deaf:
    """Swallows Ctrl-C as a destructor or a library's callback does."""

    def __del__(self):
        os.kill(os.getpid(), signal.SIGINT)
        time.sleep(0.01)


def _interrupted(task):
    if task == 1:
        _Deaf()
    return task


@pytest.fixture
def heard():
    """Hear Ctrl-C as at a terminal: a run of tests in the background begins with it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def test_an_interrupt_that_a_destructor_swallowed_is_heard_all_the_same(heard):
    before, done = signal.getsignal(signal.SIGINT), []
    with pytest.raises(KeyboardInterrupt):  # noqa: PT012 - how far it came is asked as well
        for task, _ in side_by_side(_interrupted, range(5), 1):
            done.append(task)
    assert signal.getsignal(signal.SIGINT) is before
    assert done == [0, 1]
