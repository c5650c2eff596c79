"""Small jobs searched to the end: no better dates, or better ones."""

from __future__ import annotations

from lawnmap.logistics.board import Board, Cost
from lawnmap.logistics.bound import Bound
from lawnmap.logistics.domains import Group

MOST_STEPS = 24
MOST_TRIES = 30_000


class Search:
    """Look through all dates of a small job, leaving out what cannot be better.

    Parameters
    ----------
    board : Board
        Empty.
    groups : list of Group
    bound : Bound
        Of all groups together.
    best : tuple of (Cost, places)
        The best dates so far.

    Attributes
    ----------
    best : tuple of (Cost, places)
    ended : bool
        True when all was looked through, so that the best is the best there is.
    """

    def __init__(
        self,
        board: Board,
        groups: list[Group],
        bound: Bound,
        best: tuple[Cost, dict[str, tuple[int, int]]],
    ) -> None:
        self.board, self.groups, self.bound, self.best = board, groups, bound, best
        self.tries = 0
        steps = [step for group in groups for step in group]
        self.ended = len(steps) <= MOST_STEPS and self._go(0, 0, 0)

    def _go(self, group: int, step: int, left_out: int) -> bool:
        """Go on from a step of a group; say whether all that follows was looked through."""
        self.tries += 1
        if self.tries > MOST_TRIES:
            return False
        cost = self.board.cost(left_out)
        if self._hopeless(cost, group, step):
            return True
        if group == len(self.groups):
            self.best = cost, dict(self.board.placed)
            return True
        whole = self._days(group, step, left_out)
        return whole if step else whole and self._go(group + 1, 0, left_out + 1)

    def _days(self, group: int, place: int, left_out: int) -> bool:
        """Try every day of one step; say whether all was looked through."""
        board, step = self.board, self.groups[group][place]
        low, high = board.span(step)
        following = (group, place + 1) if place + 1 < len(self.groups[group]) else (group + 1, 0)
        for day in board.days[step.id]:
            unit = board.diary.unit(step, day) if low <= day <= high else None
            if unit is None:
                continue
            board.put(step, day, unit)
            whole = self._go(*following, left_out)
            board.take(step)
            if not whole:
                return False
        return True

    def _hopeless(self, cost: Cost, group: int, step: int) -> bool:
        """Say whether nothing that follows can be better than the best so far."""
        late, total = cost[4], cost[5]
        for number, each in enumerate(self.groups[group:]):
            for one in each[step if number == 0 else 0 :]:
                first = self.board.days[one.id][0]
                late, total = max(late, first), total + first
        known = (0, 0, 0)
        if not cost[0]:
            known = (self.bound.moved, self.bound.visits, self.bound.hire)
        least = [max(*pair) for pair in zip(cost[1:4], known, strict=True)]
        # Groups that may yet be left out would end it sooner, but cost more than that gains.
        return (cost[0], *least, late, total) >= self.best[0]
