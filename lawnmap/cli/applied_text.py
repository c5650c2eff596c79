"""What ``lawnmap compare --applied`` prints for a person."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from lawnmap.errors import printable

if TYPE_CHECKING:
    from lawnmap.jobs.applied import AppliedReply

WIDTH = 96


def text(reply: AppliedReply) -> str:
    """Return what was planned and what was done, zone by zone."""
    head = f"The plan issued on {reply.day} ({reply.issued_id}) against the record:"
    blocks = [head]
    for zone_id, rows in reply.table.groupby("zone_id", sort=False):
        name = reply.names.get(str(zone_id), "")
        lines = [printable(f"{zone_id}: {name}" if name else str(zone_id))]
        for operation, said in zip(rows["operation"], rows["said"], strict=True):
            line = printable(f"{str(operation).replace('_', ' ')}: {said}.")
            lines.append(fill(line, WIDTH, initial_indent="  ", subsequent_indent="    "))
        blocks.append("\n".join(lines))
    if len(blocks) == 1:
        blocks.append("Nothing was planned and nothing recorded.")
    return "\n\n".join(blocks)
