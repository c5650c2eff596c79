"""What ``lawnmap sampling`` prints for a person, and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lawnmap.cli import told

if TYPE_CHECKING:
    from lawnmap.jobs.sampling import SamplingReply


def text(reply: SamplingReply, output: str | None) -> str:
    """Return a line a zone: what is known, and how many more cores to take."""
    lines = []
    for row in reply.table.to_dict("records"):
        more = f"take {row['more']} more" if row["taken"] else f"take {row['more']}"
        task = more if row["more"] else "no more needed"
        lines.append(f"{row['zone_id']}: {row['says']}; {task}. {row['remark']}".rstrip())
    lines += [
        f"{row['zone_id']}, between the cores: {row['says']}."
        for row in reply.surfaces.to_dict("records")
    ]
    count = len(reply.places)
    if output:
        lines.append(f"{count} {'place' if count == 1 else 'places'} for a phone: {output}")
    elif count and reply.placed:
        lines.append("Where: -o cores.gpx writes the places for a phone; the map shows them too.")
    return "\n".join(lines)


def data(reply: SamplingReply) -> dict[str, Any]:
    """Return the same for JSON, each place with its longitude and latitude [°]."""
    places = [
        {"zone_id": zone_id, "number": int(number), "longitude": place.x, "latitude": place.y}
        for zone_id, number, place in zip(
            reply.places["zone_id"], reply.places["number"], reply.places.geometry, strict=True
        )
    ]
    return {
        "zones": told.rows_data(reply.table),
        "surfaces": told.rows_data(reply.surfaces),
        "places": places,
    }
