"""Lists of groups put on days one after the other, and days emptied where that is better."""

from __future__ import annotations

from lawnmap.logistics.board import Bar, Board, Cost
from lawnmap.logistics.domains import Days, Group, least_moved
from lawnmap.logistics.work import Work

ROUNDS = 3  # fresh lists in which what went badly goes first
MOST_LOOKED_AT = 300_000  # days looked at while others are emptied
Places = dict[str, tuple[int, int]]


def listed(work: Work, possible: list[Group], days: Days) -> tuple[Cost, Places]:
    """Return the best of several lists: what had no date, or a date moved, goes first next time.

    Those that can keep all their promised days go before those that cannot.
    """
    promised = {key: (day - work.first).days for key, day in work.promised.items()}
    narrow = {group[0].id: min(len(days[step.id]) for step in group) for group in possible}
    hours = {group[0].id: -max(step.minutes for step in group) for group in possible}
    told = {
        g[0].id: (least_moved(g, days, promised), -sum(step.id in promised for step in g))
        for g in possible
    }
    results: list[tuple[Cost, Places]] = []
    for rank in (narrow, hours):
        first: dict[str, int] = {}
        for _ in range(ROUNDS):
            order = sorted(
                possible,
                key=lambda g: (first.get(g[0].id, 0), told[g[0].id], rank[g[0].id], _tie(g)),
            )
            board = Board(work, days)
            bad = [group for group in order if not board.add(group) or _is_moved(board, group)]
            results.append((board.cost(possible), dict(board.placed)))
            if not bad:
                break
            for number, group in enumerate(bad):
                first[group[0].id] = first.get(group[0].id, 0) - len(bad) + number
    places = min(results, key=lambda each: each[0])[1]
    board = Board(work, days)
    for group in possible:
        if group[0].id in places:
            board.restore(group, places)
    return _thinned(board, possible)


def _tie(group: Group) -> tuple[str, str]:
    return group[0].zone, group[0].id


def _is_moved(board: Board, group: Group) -> bool:
    return any(
        board.promised.get(step.id, board.placed[step.id][0]) != board.placed[step.id][0]
        for step in group
    )


def _thinned(board: Board, possible: list[Group]) -> tuple[Cost, Places]:
    """Empty days, the lightest first, as long as it makes the schedule better."""
    looked, better = 0, True
    while better and looked < MOST_LOOKED_AT:
        better = False
        for bar in _bars(board, possible):
            inside = [
                g
                for g in possible
                if g[0].id in board.placed
                and any(bar.stops(step, board.placed[step.id][0]) for step in g)
            ]
            looked += sum(len(board.days[step.id]) for group in inside for step in group)
            better = (bool(inside) and _emptied(board, possible, inside, bar)) or better
            if looked >= MOST_LOOKED_AT:
                break
    missing = [group for group in possible if group[0].id not in board.placed]
    for group in missing:
        board.add(group)
    return board.cost(possible), dict(board.placed)


def _bars(board: Board, possible: list[Group]) -> list[Bar]:
    """Return the days that could be emptied of a site or of a machine, those with least first."""
    steps = [step for group in possible for step in group if step.id in board.placed]
    loads: dict[tuple[int, str, str], int] = {}
    for step in steps:
        day = board.placed[step.id][0]
        keys = [(day, step.site, "")]
        if step.machine is not None and board.diary.machines[step.machine].hired:
            keys.append((day, "", step.machine))
        for key in keys:
            loads[key] = loads.get(key, 0) + step.minutes
    return [
        Bar(day, machine=machine) if machine else Bar(day, site=site)
        for (day, site, machine), _ in sorted(loads.items(), key=lambda each: (each[1], each[0]))
    ]


def _emptied(board: Board, possible: list[Group], inside: list[Group], bar: Bar) -> bool:
    """Put groups anew without one day; put them back and say so when that is no better."""
    before = board.cost(possible)
    old = [(group, board.drop(group)) for group in inside]
    largest = sorted(inside, key=lambda g: (-max(s.minutes for s in g), g[0].zone, g[0].id))
    if all(board.add(group, bar) for group in largest) and board.cost(possible) < before:
        return True
    for group in inside:
        board.drop(group)
    for group, places in old:
        board.restore(group, places)
    return False
