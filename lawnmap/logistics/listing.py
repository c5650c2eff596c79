"""Lists of groups put on days one after the other, and days emptied where that is better."""

from __future__ import annotations

from collections import Counter

from lawnmap.logistics.board import Bar, Board, Cost
from lawnmap.logistics.domains import Days, Group, least_moved
from lawnmap.logistics.sharing import visits
from lawnmap.logistics.work import Work

ROUNDS = 3  # fresh lists in which what went badly goes first
MANY = 100  # groups that went badly, which another list does not mend
MOST_LOOKED_AT = 300_000  # days looked at while others are emptied
Places = dict[str, tuple[int, int]]


def listed(work: Work, possible: list[Group], days: Days) -> tuple[Cost, Places]:
    """Return the best of several lists: what had no date, or a date moved, goes first next time.

    Those that can keep all their promised days go before those that cannot.
    """
    lots, told = _lots(possible), _told(work, possible, days)
    narrow = {key: min(len(days[s.id]) for g in lot for s in g) for key, lot in lots.items()}
    hours = {key: -max(s.minutes for g in lot for s in g) for key, lot in lots.items()}
    whole = visits(work, possible)
    best: tuple[Cost, Places] | None = None
    for rank in (narrow, hours):
        first: Counter[str] = Counter()
        for _ in range(ROUNDS):
            order = sorted(
                lots, key=lambda key: (first[key], told[key], rank[key], _tie(lots[key]))
            )
            board = Board(work, days, whole)
            bad = [
                (key, group)
                for key in order
                for group in lots[key]
                if not board.add(group) or _is_moved(board, group)
            ]
            cost = board.cost(sum(not board.has(group) for _, group in bad))
            if best is None or cost < best[0]:
                best = cost, dict(board.placed)
            if not bad or len(bad) > MANY:
                break
            again = list(dict.fromkeys(key for key, _ in bad))
            for number, key in enumerate(again):
                first[key] += number - len(again)
    board = Board(work, days, whole)
    for group in possible:
        if best and group[0].id in best[1]:
            board.restore(group, best[1])
    return _thinned(board, possible)


def _lots(possible: list[Group]) -> dict[str, list[Group]]:
    """Return what goes on a list together: of many sites all of one, of one site each zone."""
    lots: dict[str, list[Group]] = {}
    many = len({group[0].site for group in possible}) > 1
    for group in sorted(possible, key=lambda g: (g[0].zone, g[0].id)):
        lots.setdefault(group[0].site if many else group[0].id, []).append(group)
    return lots


def _tie(lot: list[Group]) -> tuple[str, str]:
    return lot[0][0].zone, lot[0][0].id


def _told(work: Work, possible: list[Group], days: Days) -> dict[str, tuple[int, int]]:
    """Return for each lot the promised days it cannot keep, and those it has, counted below 0."""
    promised = {key: (day - work.first).days for key, day in work.promised.items()}
    return {
        key: (
            sum(least_moved(group, days, promised) for group in lot),
            -sum(step.id in promised for group in lot for step in group),
        )
        for key, lot in _lots(possible).items()
    }


def _is_moved(board: Board, group: Group) -> bool:
    return any(
        board.promised.get(step.id, board.placed[step.id][0]) != board.placed[step.id][0]
        for step in group
    )


def _thinned(board: Board, possible: list[Group]) -> tuple[Cost, Places]:
    """Empty days, the lightest first, as long as it makes the schedule better."""
    steps = {step.id: (place, step) for place, g in enumerate(possible) for step in g}
    looked, better = 0, True
    while better and looked < MOST_LOOKED_AT:
        better = False
        for bar in _bars(board, possible):
            there = {
                steps[key][0] for key in board.on[bar.day] if bar.stops(steps[key][1], bar.day)
            }
            inside = [possible[place] for place in sorted(there)]
            looked += sum(len(board.days[step.id]) for group in inside for step in group)
            better = (bool(inside) and _emptied(board, inside, bar)) or better
            if looked >= MOST_LOOKED_AT:
                break
    left_out = sum(not board.has(group) and not board.add(group) for group in possible)
    return board.cost(left_out), dict(board.placed)


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


def _emptied(board: Board, inside: list[Group], bar: Bar) -> bool:
    """Put groups anew without one day; put them back and say so when that is no better."""
    before = board.cost(0)
    old = [(group, board.drop(group)) for group in inside]
    largest = sorted(inside, key=lambda g: (-max(s.minutes for s in g), g[0].zone, g[0].id))
    if all(board.add(group, bar) for group in largest) and board.cost(0) < before:
        return True
    for group in inside:
        board.drop(group)
    for group, places in old:
        board.restore(group, places)
    return False
