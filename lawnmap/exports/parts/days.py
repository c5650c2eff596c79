"""When the work is done: one row a day with what is done where, for people who are not there."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from lawnmap.exports.drawing.drawn import LONG_FROM
from lawnmap.exports.parts.cells import head
from lawnmap.exports.parts.dated_work import to_come
from lawnmap.exports.parts.front import badge
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import day, missing, number, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.short_dates import no_year
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import DO, DONE

Cells = Mapping[str, Any]

NAMED = 5  # zones a day on a long page


def days_table(paper: Paper) -> Html:
    """Return the days of work in their order, with zones and what is done there."""
    steps = paper.plan.steps
    if "day" not in steps.columns:
        return tag("p", word("days.none"), class_="note")
    names = zone_text.numbered(paper.plan.zones)
    work: dict[str, dict[str, list[Html]]] = defaultdict(lambda: defaultdict(list))
    for row in records(steps):
        if text(row.get("day")) and row.get("status") != DONE:
            work[text(row["day"])][text(row["zone_id"])].append(_step(row))
    rows = [_row(on, zones, names) for on, zones in sorted(work.items())]
    lines = [tag("p", said(each), class_="note") for each in paper.plan.dates.told]
    if not rows:
        return join([tag("p", word("days.none"), class_="note"), *lines])
    top = head((word(f"days.{each}"), "") for each in ("day", "work"))
    note = tag("p", word("days.note"), class_="note")
    return join([tag("table", top, tag("tbody", join(rows)), class_="days"), note, *lines])


def span(paper: Paper) -> str:
    """Return the first and last day of the work and how many there are; empty without days."""
    visits = to_come(paper)
    if not visits:
        return ""
    if len(visits) == 1:
        return day(visits[0])
    return word("days.span", first=day(visits[0]), last=day(visits[-1]), count=number(len(visits)))


def _step(row: Cells) -> Html:
    """Return what is done; what has a day for its price alone, or is not allowed, is marked."""
    operation = known("operation", text(row.get("operation")))
    last = text(row.get("day_last"))
    if not missing(row.get("days")) and last:
        until = no_year(dt.date.fromisoformat(last))
        operation = word("days.until", operation=operation, last=until)
    marked = badge(text(row.get("status")) or DO)
    return join([said(operation), " ", marked]) if marked else said(operation)


def _row(on: str, zones: dict[str, list[Html]], names: dict[str, tuple[int, str]]) -> Html:
    parts = []
    listed = list(zones.items())
    if len(names) > LONG_FROM and len(listed) > NAMED:
        listed = listed[:NAMED]
    for zone_id, steps in listed:
        place, name = names.get(zone_id, (0, zone_id))
        parts.append(
            tag(
                "p",
                tag("span", place, class_="pill"),
                " ",
                tag("strong", said(name)),
                ": ",
                join(steps, ", "),
            )
        )
    if len(listed) < len(zones):
        parts.append(tag("p", word("days.more", count=number(len(zones) - len(listed)))))
    return tag("tr", tag("th", day(on), scope="row"), tag("td", join(parts)))
