"""The days of the plan for a calendar (iCalendar, RFC 5545): visits, and when people keep off."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from lawnmap.errors import InputRefused
from lawnmap.exports.gis.ics import Event, document
from lawnmap.exports.parts.dated_work import Closed, Work, closed, visits, worked
from lawnmap.exports.parts.front import title
from lawnmap.exports.wording.amounts import day, number, span, text
from lawnmap.exports.wording.listing import in_a_row
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import DO

TITLE = "days of work and keep-off for a calendar (iCalendar)"
SUFFIX = ".ics"
AUDIENCE = "client"

MOST_NAMES = 4  # of zones in the heading of an event; all stand in what it says
AT_WORK = ("crew", "owner")  # whose day a visit takes


def render(paper: Paper) -> bytes:
    """Return the calendar: an event a day of work, and one for what people keep off.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience.

    Returns
    -------
    bytes
        UTF-8, lines ended by CR LF. An event keeps its UID when its day moves. The place is the
        site's title and never a position, since calendars are kept on machines of others.

    Raises
    ------
    InputRefused
        When no step has a day: a calendar without an event is none (RFC 5545, 3.6).
    """
    work = worked(paper)
    if not work:
        raise InputRefused(
            "the plan has no days yet, so there is nothing for a calendar",
            done="Nothing was written.",
            remedy="Set first_day in specification.toml, and see lawnmap plan for what stands in "
            "the way of a day.",
        )
    events = [*_visits(paper, work), *(_keep_off(paper, each) for each in closed(work))]
    plan = paper.plan
    return document(events, title=title(paper), revision=plan.site.revision, made=plan.today)


def _visits(paper: Paper, work: Sequence[Work]) -> Iterator[Event]:
    for on, key, here in visits(work):
        operations = dict.fromkeys(known("operation", text(each.row["operation"])) for each in here)
        yield Event(
            key=_key(paper, "visit", key),
            first=on,
            last=on,
            summary=word("calendar.visit", site=title(paper), work=", ".join(operations)),
            description="\n".join([*_places(here, on), *_hired(paper, on), *_end(paper)]),
            location=title(paper),
            busy=paper.audience in AT_WORK,
        )


def _keep_off(paper: Paper, found: Closed) -> Event:
    names = list(dict.fromkeys(each.zone for each in found.work))
    shown = in_a_row(names[:MOST_NAMES])
    if len(names) > MOST_NAMES:
        shown += f" {word('front.more', count=number(len(names) - MOST_NAMES))}"
    first = found.first
    lines = [
        f"{found.until}.",
        *_places(found.work, first),
        text(paper.plan.specification.choices.get("keep_off")),
        word("calendar.lifted"),
        *_contact(paper),
    ]
    return Event(
        key=_key(paper, "keep off", found.work[0].key),
        first=first,
        last=found.last,
        summary=word("calendar.keep_off", zones=shown),
        description="\n".join(line for line in lines if line),
        location=title(paper),
        busy=False,
    )


def _key(paper: Paper, what: str, key: str) -> str:
    """Return what an event is called whatever its day; a site goes by its made-up id."""
    site = text(paper.plan.site.header.get("site_id")) or title(paper)
    return f"{site} {what} {key}"


def _places(here: Sequence[Work], on: dt.date) -> Iterator[str]:
    """Yield what is done where, a line a zone."""
    zones: dict[tuple[int, str], list[str]] = {}
    for each in here:
        zones.setdefault((each.number, each.zone), []).append(_step(each, on))
    for (place, name), steps in zones.items():
        yield word("calendar.zone", number=place, zone=name, work="; ".join(steps))


def _step(work: Work, on: dt.date) -> str:
    row = work.row
    operation = known("operation", text(row.get("operation")))
    if row.get("status") != DO:
        return word("calendar.step", operation=operation, what=known("status", text(row["status"])))
    amount = span(row.get("amount_low"), row.get("amount"), text(row.get("unit")))
    parts = [text(row.get("product")), amount, text(row.get("machine"))]
    if len(work.days) > 1 and on != work.days[-1]:
        parts.append(word("calendar.goes_on", day=day(work.days[-1])))
    what = ", ".join(part for part in parts if part)
    return word("calendar.step", operation=operation, what=what) if what else operation


def _hired(paper: Paper, on: dt.date) -> list[str]:
    machines = dict.fromkeys(machine for machine, day in paper.plan.dates.hire if day == on)
    return [word("calendar.hired", machines=", ".join(machines))] if machines else []


def _end(paper: Paper) -> list[str]:
    return [word("days.note"), *_contact(paper)]


def _contact(paper: Paper) -> list[str]:
    contact = text(paper.plan.specification.choices.get("contact"))
    return [word("calendar.contact", contact=contact)] if contact else []
