"""The days of work for the map: what is done on each, what is closed, how the zones look then."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lawnmap.exports.drawing.themes import PALETTES
from lawnmap.exports.parts.dated_work import Closed, Work, closed, to_do, visits
from lawnmap.exports.wording.amounts import day, number, text
from lawnmap.exports.wording.listing import counted, doing, listed, named, opened
from lawnmap.exports.wording.short_dates import between, short
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper

NAME = "day"  # of the colours and patterns of a day
# From what asks least of whoever uses the grass to what asks most.
CLASSES = ("mowing", "resting", "soil", "blades", "seed", "iron")
OF = {
    "mowing": "mowing",
    "first_cut": "mowing",
    "raking": "blades",
    "scarifying": "blades",
    "clearing": "blades",
    "overseeding": "seed",
    "iron_liquid": "iron",
    "iron_soluble": "iron",
    "lawn_sand": "iron",
}
OTHER = "soil"


def work_days(paper: Paper) -> dict[str, Any]:
    """Return the days of a plan for the map's slider and its panels.

    Returns
    -------
    dict
        ``days``, each with its date ``at``, its ``title``, the sentences ``said`` and ``closed``,
        and the places of its zones by class (``zones``); the ``classes`` with label and colour and
        ``idle`` for the zones of none; and for panels the days of each zone: ``rows`` that zones
        share, and ``of_zone``, the place of each zone's rows. Empty without any day of
        work that may be done.
    """
    work = to_do(paper)
    if not work:
        return {}
    shut = closed(work)
    rows, of_zone = _of_zones(work, shut, len(paper.plan.zones))
    colours = zip(CLASSES, PALETTES[NAME], strict=True)
    return {
        "days": [_day(on, here, shut) for on, _, here in visits(work)],
        "classes": [
            {"label": word(f"day.class_{name}"), "colour": colour} for name, colour in colours
        ],
        "idle": word("day.class_idle"),
        "rows": rows,
        "of_zone": of_zone,
    }


def _day(on: dt.date, here: Sequence[Work], shut: Sequence[Closed]) -> dict[str, Any]:
    today = [each for each in shut if each.first <= on <= each.last]
    return {
        "at": on.isoformat(),
        "title": day(on),
        "said": done(here),
        "closed": kept_off(today, on),
        "zones": _classes(here, today),
    }


def done(here: Iterable[Work]) -> str:
    """Return in one sentence what is done in how many zones on one day."""
    zones: dict[str, dict[int, str]] = defaultdict(dict)
    for each in here:
        zones[text(each.row["operation"])][each.number] = each.zone
    together: dict[tuple[int, ...], list[str]] = defaultdict(list)
    for operation, where in zones.items():
        together[tuple(sorted(where))].append(operation)
    parts = [
        word(
            "day.does",
            work=listed(list(dict.fromkeys(map(doing, operations)))),
            where=counted([zones[operations[0]][place] for place in places], most=2),
        )
        for places, operations in together.items()
    ]
    return opened("; ".join(parts)) + "."


def kept_off(shut: Sequence[Closed], on: dt.date) -> str:
    """Return in one sentence which ground stays closed on a day, and until when."""
    if not shut:
        return word("day.open")
    zones: dict[tuple[str, dt.date], dict[int, str]] = defaultdict(dict)
    for each in shut:
        opens = each.last if each.last > each.first else on
        for step in each.work:
            zones[each.until, opens][step.number] = step.zone
    parts = [
        _until(named([where[place] for place in sorted(where)]), until, opens, known_day=opens > on)
        for (until, opens), where in zones.items()
    ]
    return word("day.closed", zones="; ".join(parts))


def _until(where: str, until: str, opens: dt.date, *, known_day: bool) -> str:
    if known_day:
        return word("day.until_planned", where=where, until=until, day=short(opens))
    return word("day.until", where=where, until=until)


def _classes(here: Iterable[Work], shut: Iterable[Closed]) -> list[list[int]]:
    """Return the places of the zones of each class; of several the one that asks most."""
    found: dict[int, int] = {}
    resting = CLASSES.index("resting")
    for one in shut:
        found |= {step.number: resting for step in one.work}
    worked_on: dict[int, int] = {}
    for each in here:
        kind = CLASSES.index(OF.get(text(each.row["operation"]), OTHER))
        worked_on[each.number] = max(kind, worked_on.get(each.number, 0))
    found |= worked_on
    return [
        sorted(zone - 1 for zone, kind in found.items() if kind == place)
        for place in range(len(CLASSES))
    ]


def _of_zones(
    work: Iterable[Work], shut: Iterable[Closed], count: int
) -> tuple[list[list[list[str]]], list[int | None]]:
    """Return rows of day, work and keeping off, shared by zones alike, and the place of each's."""
    keep = {
        step.key: each.until
        if each.last == step.days[-1]
        else word("day.planned", until=each.until, day=short(each.last))
        for each in shut
        for step in each.work
    }
    of_zone: dict[int, dict[tuple[dt.date, ...], list[Work]]] = defaultdict(dict)
    for each in sorted(work, key=lambda each: each.days):
        of_zone[each.number].setdefault(each.days, []).append(each)
    places: dict[tuple[tuple[str, str, str], ...], int] = {}
    found: list[int | None] = [None] * count
    for zone, days in of_zone.items():
        rows = tuple(_row(on, steps, keep) for on, steps in days.items())
        if zone:
            found[zone - 1] = places.setdefault(rows, len(places))
    return [[list(row) for row in rows] for rows in places], found


def _row(
    days: tuple[dt.date, ...], steps: Sequence[Work], keep: Mapping[str, str]
) -> tuple[str, str, str]:
    title = day(days[0])
    if len(days) > 1:
        title = word("date.days", span=between(days[0], days[-1]), count=number(len(days)))
    what = " · ".join(dict.fromkeys(known("operation", text(s.row["operation"])) for s in steps))
    until = ". ".join(dict.fromkeys(keep[each.key] for each in steps if each.key in keep))
    return title, what, until
