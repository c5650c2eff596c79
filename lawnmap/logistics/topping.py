"""Work that finds no day put between the rest, as much of it as there is room for.

Of a large job all days are not found anew each time something is left out: what has its days keeps
them, and each zone that has none is put beside it, with its last jobs left out one by one, but none
of those that make no sense without the others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from lawnmap.logistics.alone import Alone
from lawnmap.logistics.board import Board
from lawnmap.logistics.dates import Schedule, written
from lawnmap.logistics.domains import Days, Group, allowed, groups, narrowed
from lawnmap.logistics.overdue import without_most
from lawnmap.logistics.reasons import Crowd
from lawnmap.logistics.sharing import visits
from lawnmap.logistics.work import Step, Work

Less = Callable[[Group], Iterator[Group]]


def topped_up(
    work: Work, cut: Work, schedule: Schedule, less: Less
) -> tuple[Work, Schedule, dict[str, str]]:
    """Return the work that finds days, its days, and by id why the other steps find none.

    Parameters
    ----------
    work : Work
        All of it, with every day it may have.
    cut : Work
        The same with fewer days, perhaps, to which `schedule` keeps.
    schedule : Schedule
    less : callable
        Yields a group, then what of it may be done when all of it is too much.
    """
    own, free = {step.id: step for step in work.steps}, allowed(work)
    kept = {step.id: step for step in cut.steps}
    board = Board(work, free, visits(work, groups(work)))
    for each in schedule.dated:
        if not each.done:
            board.put(each.step, (each.day - work.first).days, each.unit)
    without: list[tuple[Group, list[str]]] = []
    for undated in schedule.undated:
        group = tuple(own[step.id] for step in undated.steps)
        placed = _added(board, group, free, work, less)
        kept |= {step.id: step for step in placed}
        there = {step.id for step in placed}
        if left_out := [step.id for step in group if step.id not in there]:
            without.append((group, left_out))
    reasons = _reasons(work, board, without)
    steps = tuple(kept[step.id] for step in work.steps if step.id not in reasons)
    promised = {key: day for key, day in work.promised.items() if key not in reasons}
    left = replace(work, steps=steps, promised=promised)
    return left, written(left, board.placed, []), reasons


def _added(board: Board, group: Group, free: Days, work: Work, less: Less) -> Group:
    """Put as much of a group on the board as there is room for, and return it."""
    for some in less(group):
        for steps in _with_time(some, work):
            days = free if steps is some else allowed(work, steps)
            board.days = narrowed(steps, days)
            fits = all(board.days.values()) and all(map(board.diary.possible, steps))
            if fits and board.add(steps):
                return steps
    return ()


def _with_time(group: Group, work: Work) -> Iterator[Group]:
    """Yield a group, then without its longest waits from the record, where it has any."""
    yield group
    late: tuple[Step, ...] = tuple(without_most(work, step) for step in group)
    if late != group:
        yield late


def _reasons(work: Work, board: Board, without: list[tuple[Group, list[str]]]) -> dict[str, str]:
    alone, crowd = Alone(work), Crowd(work, board.placed)
    result: dict[str, str] = {}
    for group, left_out in without:
        sentence = alone.why(group) or crowd.why(group)
        result |= dict.fromkeys(left_out, sentence)
    return result
