"""The work that has days: who comes when for what, and when people keep off."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.rows import records
from lawnmap.paper import Paper
from lawnmap.schema import BETWEEN, DO, DONE

TWICE = 2  # days of a step whose first and last are all there are
SEED, FIRST_CUT = "seed", "first_cut"  # seed is lifted by the first cut

Row = dict[str, Any]


class Work(NamedTuple):
    """One step and the days it is done on.

    Attributes
    ----------
    key : str
        Zone, operation and which of these it is in the zone: the same whatever day it is on.
    number, zone : int and str
        The zone's number on the plan and its name.
    row : dict
        Of the table ``steps``.
    days : tuple of date
        Every visit on which it may be under way, in order.
    """

    key: str
    number: int
    zone: str
    row: Row
    days: tuple[dt.date, ...]


class Closed(NamedTuple):
    """Ground that people keep off for the same days until the same is seen."""

    first: dt.date
    last: dt.date
    until: str
    work: tuple[Work, ...]


def worked(paper: Paper) -> list[Work]:
    """Return every step that has a day and is not done yet, in the plan's order.

    Also what is there for its price alone or may not be applied: see :func:`to_do`.
    """
    names = zone_text.numbered(paper.plan.zones)
    found = []
    for key, row in _keyed(paper):
        if text(row.get("day")) and row.get("status") != DONE:
            number, name = names.get(text(row["zone_id"]), (0, text(row["zone_id"])))
            found.append(Work(key, number, name, row, _days(row, paper.plan.dates.visits)))
    return found


def to_do(paper: Paper) -> list[Work]:
    """Return the work that has a day and may be done."""
    return [each for each in worked(paper) if each.row.get("status") == DO]


def to_come(paper: Paper) -> list[dt.date]:
    """Return the visits on which work is done that may be done; all where no step has a day."""
    dated = worked(paper)
    if not dated:
        return list(paper.plan.dates.visits)
    days = {on for each in dated if each.row.get("status") == DO for on in each.days}
    return [on for on in paper.plan.dates.visits if on in days]


def visits(work: Sequence[Work]) -> Iterator[tuple[dt.date, str, list[Work]]]:
    """Yield each day of work with its key and what is done on it.

    The key is that of the first step, and which of its days it is: it stays the same when the
    whole visit moves.
    """
    by_day: dict[dt.date, list[Work]] = defaultdict(list)
    for each in work:
        for day in each.days:
            by_day[day].append(each)
    for day, here in sorted(by_day.items()):
        first = here[0]
        yield day, f"{first.key} {first.days.index(day) + 1}", here


def closed(work: Sequence[Work]) -> list[Closed]:
    """Return what people keep off, from the day of the work to the day it is planned to end.

    New grass is closed to the first cut. Everything else opens when somebody has looked: nobody
    knows that day beforehand, so the day of the work alone is shown.
    """
    cuts = {
        text(each.row["zone_id"]): each.days[-1]
        for each in reversed(work)
        if each.row.get("operation") == FIRST_CUT
    }
    found: dict[tuple[dt.date, dt.date, str], list[Work]] = defaultdict(list)
    for each in work:
        until = text(each.row.get("keep_off"))
        if not until or each.row.get("status") != DO:
            continue
        last = each.days[-1]
        if each.row.get("kind") == SEED:
            last = max(last, cuts.get(text(each.row["zone_id"]), last))
        found[each.days[0], last, until].append(each)
    return [
        Closed(first, last, ". ".join(until.split(BETWEEN)), tuple(here))
        for (first, last, until), here in sorted(found.items(), key=lambda item: item[0])
    ]


def _keyed(paper: Paper) -> Iterator[tuple[str, Row]]:
    """Yield each step with the key that a promise of its day goes by, too."""
    numbers: Counter[tuple[str, str]] = Counter()
    for row in records(paper.plan.steps):
        what = (text(row.get("zone_id")), text(row.get("operation")))
        numbers[what] += 1
        yield f"{' '.join(what)} {numbers[what]}", row


def _days(row: Row, visits: Sequence[dt.date]) -> tuple[dt.date, ...]:
    first = dt.date.fromisoformat(text(row["day"]))
    said = text(row.get("day_last"))
    if not said:
        return (first,)
    last = dt.date.fromisoformat(said)
    if not missing(row.get("days")) and int(row["days"]) == TWICE:
        return (first, last)
    return tuple(sorted({first, last, *(day for day in visits if first < day < last)}))
