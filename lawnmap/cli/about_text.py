"""What ``about`` says to a person."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lawnmap.cli import told

if TYPE_CHECKING:
    from collections.abc import Mapping

MENDED = "mended here"


def text(data: Mapping[str, Any]) -> str:
    """Return the tables, and below them each weak spot that is open here in two lines."""
    rows = [
        [part, name, str(value)]
        for part, content in data.items()
        if isinstance(content, dict)
        for name, value in content.items()
    ]
    spots = data["weak_spots"]
    open_here = [spot for spot in spots if spot["state"] != MENDED]
    mended = ", ".join(f"{spot['id']} ({spot['part']})" for spot in spots if spot not in open_here)
    parts = [told.table(["", "", ""], rows).strip()]
    parts += [f"Weak spots mended here: {mended}."] if mended else []
    if open_here:
        parts.append(
            "\n".join(
                ["Weak spots open here by their version, and what is done:", *map(_spot, open_here)]
            )
        )
    return "\n\n".join(parts)


def _spot(spot: Mapping[str, str]) -> str:
    return (
        f"{spot['id']}: {spot['part']} {spot['version']}, {spot['state']}: {spot['weakness']}.\n"
        f"    {spot['guard'][:1].upper()}{spot['guard'][1:]}. Told by: {spot['told_by']}."
    )
