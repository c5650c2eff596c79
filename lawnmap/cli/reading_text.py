"""What was found in a site plan and what became of it, for people and as JSON has it."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from lawnmap.cli import agreement_text
from lawnmap.cli.told import number, table
from lawnmap.files.json_text import dumps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lawnmap.found import Layer
    from lawnmap.jobs.read import ReadReply
    from lawnmap.model import Site
    from lawnmap.processing.merge import Change

MOST_LISTED = 40


def geojson(site: Site) -> str:
    """Return the features of a site as a plain GeoJSON text."""
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
        }
        for change in reply.changes
    ]
    told = {"saved": reply.saved, "revision": reply.site.revision, "changes": changes}
    if reply.agreement is not None:
        told["agreement"] = agreement_text.data(reply.agreement)
    return told


def text(reply: ReadReply, *, dry_run: bool) -> str:
    """Return what was read and what became of it, for people."""
    parts = [_changes(reply.changes)]
    if dry_run:
        parts.insert(0, f"Found in the plan:\n{_found(reply)}\n")
    if reply.agreement is not None:
        parts.append(agreement_text.report(reply.agreement))
    if reply.saved:
        parts.append(f"Saved as revision {reply.site.revision}.")
    else:
        parts.append("Nothing was saved." if dry_run else "Nothing had changed.")
    return "\n".join(parts)


def _found(reply: ReadReply) -> str:
    """Return what the plan holds, kind by kind."""
    counts = Counter(change.kind for change in reply.changes)
    rows = []
    for kind, count in counts.items():
        areas = [each.area_m2 for each in reply.changes if each.kind == kind]
        known = [area for area in areas if area is not None]
        rows.append([kind, f"{count:,}", number(sum(known) if known else None)])
    lies = "CRS: " + (reply.found.crs or "not said by the file")
    return "\n".join([table(["feature", "count", "m²"], rows), lies])


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
