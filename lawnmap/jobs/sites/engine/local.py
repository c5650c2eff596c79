"""Partitions worked in this process, one after the other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeVar

from lawnmap.jobs.sites.engine.task import Progress, Task, quiet

Result = TypeVar("Result")


def run(
    numbers: Sequence[int], task: Task[Result], *, progress: Progress = quiet
) -> Iterator[Result]:
    """Yield the result of each partition, in the order of the numbers.

    Parameters
    ----------
    numbers : sequence of int
        Of the partitions.
    task : Task
    progress : callable
        Told how many partitions are done, of how many.
    """
    for done, number in enumerate(numbers, start=1):
        yield task.work(number, task.read(number))
        progress(done, len(numbers))
