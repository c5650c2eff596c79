"""What was found in a site plan and what became of it, for people and as JSON has it."""

from __future__ import annotations

import textwrap
from collections import Counter
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from lawnmap.cli import agreement_text, overview_text
from lawnmap.cli.told import number, table
from lawnmap.errors import InputRefused, printable
from lawnmap.files.json_text import dumps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lawnmap.found import Layer
    from lawnmap.jobs.read import ReadReply
    from lawnmap.model import Site
    from lawnmap.processing.entering.merge import Change

MOST_LISTED = 40
WIDTH = 80  # of a line
LONGEST_VALUE = 30
CENTIMETRE = 0.01


def geojson(site: Site) -> str:
    """Return the features of a site as a plain GeoJSON text.

    Raises
    ------
    InputRefused
        Without a place on the earth: GeoJSON is longitude and latitude (RFC 7946, section 4).
    """
    if not site.placed:
        raise InputRefused(
            "the plan has no place on the earth, and GeoJSON is longitude and latitude",
            remedy="Read it into a site with --into, or give --control or --crs.",
        )
    return dumps({"type": "FeatureCollection", "features": site.document["features"]})


def layers(found: Sequence[Layer]) -> str:
    """Return the layers of a plan as a table."""
    rows = [
        [each.name, f"{each.count:,}", ", ".join(each.kinds), number(each.area_m2)]
        for each in found
    ]
    return table(["layer", "features", "of", "m²"], rows)


def layers_data(found: Sequence[Layer]) -> list[dict[str, Any]]:
    """Return the layers of a plan as JSON has them."""
    return [
        {
            "layer": each.name,
            "count": each.count,
            "kinds": list(each.kinds),
            "area_m2": each.area_m2,
        }
        for each in found
    ]


def data(reply: ReadReply) -> dict[str, Any]:
    """Return what was read, as JSON has it."""
    changes = [
        {
            "what": change.what,
            "feature": change.kind,
            "name": change.name,
            "area_m2": change.area_m2,
            "area_before_m2": change.area_before_m2,
            "moved_m": change.moved_m,
            "facts": {name: list(pair) for name, pair in change.facts.items()},
        }
        for change in reply.changes
    ]
    told = {"saved": reply.saved, "revision": reply.site.revision, "changes": changes}
    if reply.agreement is not None:
        told["agreement"] = agreement_text.data(reply.agreement)
    if reply.overview is not None:
        told["plan"] = asdict(reply.overview)
    return told


def text(reply: ReadReply, *, dry_run: bool) -> str:
    """Return what was read and what became of it, for people."""
    parts = [_changes(reply.changes)]
    if reply.overview is not None:
        found = overview_text.found(reply.changes, reply.overview)
        parts.insert(0, f"Found in the plan:\n{found}\n")
    parts += _details(reply.changes)
    if reply.agreement is not None:
        parts.append(agreement_text.report(reply.agreement))
    if reply.saved:
        parts.append(f"Saved as revision {reply.site.revision}.")
    else:
        parts.append("Nothing was saved." if dry_run else "Nothing had changed.")
    return "\n".join(parts)


def _details(changes: Sequence[Change]) -> list[str]:
    """Return what becomes other of each updated feature, a line each."""
    updated = [each for each in changes if each.what == "updated"]
    lines = [_detail(each) for each in updated[:MOST_LISTED]]
    if len(updated) > MOST_LISTED:
        lines.append(f"And {len(updated) - MOST_LISTED:,} more are updated.")
    return lines


def _detail(change: Change) -> str:
    """Return what becomes other of one feature, within the width of a page."""
    parts = []
    if change.moved_m is not None:
        parts.append(_moved(change.moved_m))
    parts += [f"{name} {_value(old)} → {_value(new)}" for name, (old, new) in change.facts.items()]
    line = printable(f"{change.name or change.kind}: {'; '.join(parts) or 'drawn anew'}.")
    return textwrap.fill(line, WIDTH, subsequent_indent="  ", break_long_words=False)


def _moved(length: float) -> str:
    if length == 0:
        return "its holes changed"
    return f"moved by up to {length:,.2f} m" if length >= CENTIMETRE else "moved by less than 1 cm"


def _value(value: Any) -> str:
    """Return a fact short enough to stand in a line."""
    if value is None:
        return "(none)"
    plain = f"{value:g}" if isinstance(value, float) else str(value)
    return plain if len(plain) <= LONGEST_VALUE else f"{plain[: LONGEST_VALUE - 1]}…"


def _changes(changes: Sequence[Change]) -> str:
    """Return what becomes of each feature; of very many, the counts."""
    if len(changes) > MOST_LISTED:
        counts = Counter((change.what, change.kind) for change in changes)
        rows = [[what, kind, f"{count:,}"] for (what, kind), count in counts.items()]
        return table(["what", "feature", "count"], rows)
    return table(
        ["what", "feature", "name", "m²", "m² before"],
        [
            [
                change.what,
                change.kind,
                change.name,
                number(change.area_m2),
                number(change.area_before_m2),
            ]
            for change in changes
        ],
    )
