"""All-day events as an iCalendar document (RFC 5545), which any calendar program reads."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable
from typing import NamedTuple

from lawnmap.pages.escape import clean

END = "\r\n"
OCTETS = 75  # of a line without its end (section 3.1)
# Names made of an address are UUIDs of version 5 (RFC 4122, 4.3); this one is lawnmap's own space.
SPACE = uuid.UUID("4af1afe4-c263-49e1-a55d-055e532da057")


class Event(NamedTuple):
    """One event of whole days.

    Attributes
    ----------
    key : str
        What it is, whatever day it is on: a program that gets the same key again moves the event.
    first, last : date
    summary, description, location : str
        As typed; empty ones are left out.
    busy : bool
        Whether the day counts as taken.
    """

    key: str
    first: dt.date
    last: dt.date
    summary: str
    description: str = ""
    location: str = ""
    busy: bool = True


def document(events: Iterable[Event], *, title: str, revision: int, made: dt.date) -> bytes:
    """Return the document, UTF-8.

    Parameters
    ----------
    events : iterable of Event
    title : str
        Name of the calendar (RFC 7986, 5.1).
    revision : int
        Of what the events were made from; of two versions of an event the higher one holds.
    made : date
        The day it was made, where a clock would stand otherwise.
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//lawnmap//lawnmap//EN",
        "CALSCALE:GREGORIAN",
        f"NAME:{escaped(title)}",
    ]
    for each in events:
        lines += _event(each, revision, made)
    lines.append("END:VCALENDAR")
    return "".join(folded(line) for line in lines).encode("utf-8")


def escaped(text: str) -> str:
    r"""Return `text` as a value of type TEXT (section 3.3.11).

    Examples
    --------
    >>> escaped("Front; west, 1\n2")
    'Front\\; west\\, 1\\n2'
    """
    for char in "\\;,":
        text = text.replace(char, f"\\{char}")
    return clean(text).replace("\n", "\\n")


def folded(line: str) -> str:
    """Return a line and its end, broken so that no piece has more than 75 octets (section 3.1).

    No character is cut in two, since not every program puts octets together before it reads them.
    """
    pieces, piece, size = [], "", 0
    for char in line:
        octets = len(char.encode("utf-8"))
        if size + octets > OCTETS:
            pieces.append(piece)
            piece, size = " ", 1  # the blank that marks a line going on counts too
        piece, size = piece + char, size + octets
    return END.join([*pieces, piece]) + END


def _event(event: Event, revision: int, made: dt.date) -> list[str]:
    after = event.last + dt.timedelta(days=1)  # the end is the first day without (section 3.6.1)
    texts = (
        ("SUMMARY", event.summary),
        ("DESCRIPTION", event.description),
        ("LOCATION", event.location),
    )
    return [
        "BEGIN:VEVENT",
        f"UID:{uuid.uuid5(SPACE, event.key)}",
        f"DTSTAMP:{made:%Y%m%d}T000000Z",
        f"SEQUENCE:{revision}",
        f"DTSTART;VALUE=DATE:{event.first:%Y%m%d}",
        f"DTEND;VALUE=DATE:{after:%Y%m%d}",
        *(f"{name}:{escaped(text)}" for name, text in texts if text),
        f"TRANSP:{'OPAQUE' if event.busy else 'TRANSPARENT'}",
        "END:VEVENT",
    ]
