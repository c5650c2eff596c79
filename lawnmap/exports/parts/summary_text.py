"""The plan in a few plain sentences: how much is worked on, how, when, and what is left alone."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

from lawnmap.exports.parts.dated_work import to_come
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import area, day, missing, number, text
from lawnmap.exports.wording.listing import counted, doing, listed, opened
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.pages.words import word
from lawnmap.paper import Paper
from lawnmap.schema import DO, DONE, LEAVE, NO_WORK, NOT_SET, PRICING, UNRATED

# What goes with other work and is no news of its own.
ALONG = ("clearing", "watering", "first_cut")
MOST_NAMES = 3
PAIR = 2  # of which nobody says "all"
TOO_NEW = "iron_none_new_turf"  # the rule of iron that young grass has to wait for
LEFT = (LEAVE, "not for grass")
WHY = {
    "leave_by_choice": "summary.why_choice",
    "leave_alone": "summary.why_little",
    "not_for_grass": "summary.why_dark",
}


class _Zone(NamedTuple):
    name: str
    row: Mapping[str, Any]
    operations: tuple[str, ...]  # to be done, in the order of work


def sentences(paper: Paper) -> list[str]:
    """Return what everybody should know of a plan before anything else.

    Returns
    -------
    list of str
        One to five sentences: the work and on how much of the lawn, from when to when, what is
        left alone and why, what nobody has looked at, and what must not be applied.
    """
    zones = _zones(paper)
    if not zones:
        return [word("summary.none_mapped")]
    worked = [zone for zone in zones if zone.operations]
    rest = [zone for zone in zones if not zone.operations]
    if worked:
        told = [_work(zones, worked, paper), _when(paper)]
    elif _done(paper):
        told = [word("summary.finished")]
    else:
        told = [] if all(map(_is_unrated, zones)) else [_work(zones, worked, paper)]
    told += [*_alone(rest, alone=len(zones) == 1), *_unrated(rest), *_stopped(paper, zones)]
    return [opened(each) for each in told if each]


def _zones(paper: Paper) -> list[_Zone]:
    operations: dict[str, list[str]] = defaultdict(list)
    table = paper.plan.steps
    if "sequence" in table.columns:
        table = table.sort_values("sequence", kind="stable")
    for row in records(table):
        if text(row.get("status")) in {"", DO} and text(row.get("operation")) not in NO_WORK:
            operations[text(row["zone_id"])].append(text(row["operation"]))
    return [
        _Zone(zone_text.name(row, zone_id), row, tuple(operations[zone_id]))
        for zone_id, row in zone_rows(paper.plan.zones)
    ]


def _work(zones: list[_Zone], worked: list[_Zone], paper: Paper) -> str:
    """Return what is done on how many of the zones, and on how much ground."""
    say = {
        "count": number(len(zones)),
        "total": _ground(zones, paper.units),
        "worked": number(len(worked)),
        "area": _ground(worked or zones, paper.units),
        "work": listed(_in_order(worked)),
        "name": (worked or zones)[0].name,
    }
    if not worked:
        key = "nothing" if len(zones) > 1 else "nothing_one"
    elif len(zones) == 1:
        key = "one"
    elif len(worked) == len(zones):
        key = "all" if len(zones) > PAIR else "both"
    else:
        key = "some" if len(worked) > 1 else "some_one"
    return word(f"summary.{key}", **say)


def _in_order(worked: Iterable[_Zone]) -> list[str]:
    """Return the operations in words in the order of most zones, without what goes along."""
    places: dict[str, list[int]] = defaultdict(list)
    for zone in worked:
        chief = [each for each in zone.operations if each not in ALONG] or zone.operations
        for place, operation in enumerate(dict.fromkeys(chief)):
            places[operation].append(place)
    order = sorted(places, key=lambda each: math.fsum(places[each]) / len(places[each]))
    return list(dict.fromkeys(doing(each) for each in order))


def _ground(zones: Iterable[_Zone], units: str) -> str:
    """Return the ground of zones in brackets; nothing where nobody may see it."""
    sizes = [float(zone.row["ground_area_m2"]) for zone in zones
             if not missing(zone.row.get("ground_area_m2"))]  # fmt: skip
    return f" ({area(math.fsum(sizes), units=units)})" if sizes else ""


def _when(paper: Paper) -> str:
    visits = to_come(paper)
    if not visits:
        return word("summary.no_days")
    if len(visits) == 1:
        return word("summary.one_day", day=day(visits[0]))
    first, last = day(visits[0]), day(visits[-1])
    return word("summary.days", first=first, last=last, count=number(len(visits)))


def _alone(rest: Iterable[_Zone], *, alone: bool) -> Iterable[str]:
    """Yield which zones are left alone, each group with its reason."""
    found = _grouped((zone for zone in rest if _is_left(zone)), _why)
    if alone and found:
        yield from (word("summary.alone_all", why=why) for why in found if why)
    elif found:
        parts = [
            word("summary.zone_why", zones=counted(names, most=MOST_NAMES), why=why)
            if why
            else counted(names, most=MOST_NAMES)
            for why, names in found.items()
        ]
        yield word("summary.alone", zones="; ".join(parts))


def _why(zone: _Zone) -> str:
    if not missing(zone.row.get("looked_after_by")):
        return word("summary.why_others")
    key = WHY.get(text(zone.row.get("verdict_rule")))
    return word(key) if key else ""


def _is_left(zone: _Zone) -> bool:
    return text(zone.row.get("verdict")) in LEFT or not missing(zone.row.get("looked_after_by"))


def _is_unrated(zone: _Zone) -> bool:
    return text(zone.row.get("verdict")) in {"", UNRATED} and not _is_left(zone)


def _unrated(rest: Iterable[_Zone]) -> Iterable[str]:
    names = [zone.name for zone in rest if _is_unrated(zone)]
    if len(names) == 1:
        yield word("summary.unrated_one", name=names[0])
    elif names:
        yield word("summary.unrated", zones=counted(names, most=MOST_NAMES))


def _stopped(paper: Paper, zones: list[_Zone]) -> Iterable[str]:
    """Yield what must not be applied where, and what is there for its price alone."""
    names = {str(key): zone.name for key, zone in zip(paper.plan.zones.index, zones, strict=True)}
    rows = records(paper.plan.steps)
    stopped = _grouped(
        (row for row in rows if row.get("status") == NOT_SET),
        lambda row: (doing(text(row["operation"])), text(row.get("rule")) == TOO_NEW),
        lambda row: names.get(text(row["zone_id"]), text(row["zone_id"])),
    )
    for (work, too_new), where in stopped.items():
        shown = counted(list(dict.fromkeys(where)), most=MOST_NAMES)
        key = "summary.stopped_new" if too_new else "summary.stopped"
        yield word(key, zones=shown, work=work)
    priced = dict.fromkeys(
        doing(text(row["operation"])) for row in rows if row.get("status") == PRICING
    )
    if priced:
        yield word("summary.pricing", work=listed(list(priced)))


def _done(paper: Paper) -> bool:
    return any(row.get("status") == DONE for row in records(paper.plan.steps))


def _grouped(
    each: Iterable[Any],
    by: Callable[[Any], Any],
    name: Callable[[Any], str] = lambda zone: zone.name,
) -> dict[Any, list[str]]:
    found: dict[Any, list[str]] = defaultdict(list)
    for one in each:
        found[by(one)].append(name(one))
    return found
