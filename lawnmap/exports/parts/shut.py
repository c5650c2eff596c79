"""Which ground is closed when, and until what has been seen: in lines, for whoever uses it."""

from __future__ import annotations

from collections import defaultdict

from lawnmap.exports.parts.dated_work import closed, worked
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import number, text
from lawnmap.exports.wording.listing import numbered
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.short_dates import between
from lawnmap.pages.words import word
from lawnmap.paper import Paper
from lawnmap.schema import BETWEEN, DO

MOST_LINES = 4  # of one condition; the days of work say the rest


def shut(paper: Paper) -> dict[str, list[str]]:
    """Return for each condition, until which people keep off, from when and which zones.

    Ground whose work has no day yet is told without one.
    """
    found: dict[str, list[str]] = defaultdict(list)
    for each in closed(worked(paper)):
        zones = {step.number: step.zone for step in each.work}
        when = between(each.first, each.last)
        found[each.until].append(word("front.shut", days=when, zones=numbered(zones)))
    for until, open_yet in _undated(paper).items():
        found[until].append(
            word("front.shut", days=word("front.shut_open"), zones=numbered(open_yet))
        )
    return {until: _short(lines) for until, lines in found.items()}


def _undated(paper: Paper) -> dict[str, dict[int, str]]:
    """Return the zones by condition whose work is to be done and has no day."""
    names = zone_text.numbered(paper.plan.zones)
    found: dict[str, dict[int, str]] = defaultdict(dict)
    for row in records(paper.plan.steps):
        until = text(row.get("keep_off"))
        if until and row.get("status") == DO and not text(row.get("day")):
            zone_id = text(row["zone_id"])
            place, name = names.get(zone_id, (0, zone_id))
            found[". ".join(until.split(BETWEEN))][place] = name
    return found


def _short(lines: list[str]) -> list[str]:
    if len(lines) <= MOST_LINES + 1:
        return lines
    more = word("front.shut_more", count=number(len(lines) - MOST_LINES))
    return [*lines[:MOST_LINES], more]
