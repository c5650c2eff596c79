"""What a long page holds, read by the standard library: its block, parcels and outlines."""

from __future__ import annotations

import base64
import json
import re
import zlib
from typing import Any

BLOCK = re.compile(r'<script type="application/json" id="lawnmap-data">(.*?)</script>')
PARCEL = re.compile(
    r'<script type="application/json" data-parcel="([a-z0-9-]+)">([A-Za-z0-9+/=]*)</script>'
)


def block_of(data: bytes) -> dict[str, Any]:
    """Return the block of a page."""
    found = BLOCK.search(data.decode())
    assert found is not None
    block: dict[str, Any] = json.loads(found[1])
    return block


def parcels_of(data: bytes) -> dict[str, Any]:
    """Return the parcels of a page by name, inflated."""
    return {
        name: json.loads(zlib.decompress(base64.b64decode(text, validate=True)))
        for name, text in PARCEL.findall(data.decode())
    }


def areas_of(packed: dict[str, Any]) -> list[list[list[list[list[float]]]]]:
    """Return the zones of a packed page as a short page has them: areas of rings of corners."""
    at, steps = list(packed["origin"]), iter(packed["shapes"]["steps"])

    def ring(many: int) -> list[list[float]]:
        corners = []
        for _ in range(many):
            at[0] += next(steps)
            at[1] += next(steps)
            corners.append([at[0] / packed["whole"], at[1] / packed["whole"]])
        return corners

    counts = [[[each]] if isinstance(each, int) else each for each in packed["shapes"]["counts"]]
    found = [[[ring(many) for many in rings] for rings in areas] for areas in counts]
    assert next(steps, None) is None
    return found


def middles_of(packed: dict[str, Any]) -> list[list[float]]:
    """Return where the number of each zone stands."""
    rows = {**packed, "shapes": {"counts": [len(packed["at"]) // 2], "steps": packed["at"]}}
    return areas_of(rows)[0][0][0]
