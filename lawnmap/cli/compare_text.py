"""What ``lawnmap compare`` prints for a person."""

from __future__ import annotations

from dataclasses import asdict
from textwrap import fill
from typing import TYPE_CHECKING, Any

from lawnmap.cli import told
from lawnmap.errors import printable

if TYPE_CHECKING:
    from lawnmap.jobs.compare import CompareReply

NOW = "now"
WIDTH = 96


def data(reply: CompareReply, chart: str | None) -> dict[str, Any]:
    """Return the comparison for JSON."""
    return {
        "earlier": reply.earlier,
        "later": reply.later,
        "rows": told.rows_data(reply.table),
        "zones": [asdict(each) for each in reply.zones],
        "chart": chart,
    }


def text(reply: CompareReply, chart: str | None) -> str:
    """Return the verdicts zone by zone, with the photos of each."""
    later = "the site as it is now" if reply.later == NOW else f"the survey of {reply.later}"
    blocks = [f"From the survey of {reply.earlier} to {later}:"]
    for zone in reply.zones:
        photos = [
            f"  photo {when}: {each}"
            for when, names in (("before", zone.photos_before), ("after", zone.photos_after))
            for each in names
        ]
        if zone.said or photos:
            name = f": {zone.name}" if zone.name else ""
            head = printable(f"{zone.zone_id}{name}")
            blocks.append("\n".join([head, *map(_wrapped, zone.said), *photos]))
    left = [printable(zone.zone_id) for zone in reply.zones if not zone.said]
    if left:
        blocks.append(fill(f"Not looked at both times: {', '.join(left)}.", WIDTH))
    if chart:
        blocks.append(f"Chart: {chart}")
    return "\n\n".join(blocks)


def _wrapped(said: str) -> str:
    return fill(said, WIDTH, initial_indent="  ", subsequent_indent="    ")
