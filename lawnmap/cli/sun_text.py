"""What ``lawnmap sun`` prints for a person, and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from lawnmap.cli.told import number, table, zones_data

if TYPE_CHECKING:
    from lawnmap.jobs.shade import CutReply, Part, ShadeReply
    from lawnmap.jobs.sun import SunReply

COLUMNS = ("name", "sun_hours", "sun_low_h", "sun_high_h", "sun_hours_seen")


def text(reply: SunReply, shade: ShadeReply | None, saved: CutReply | None) -> str:
    """Return the hours of every zone, for which days and place, and where to cut."""
    sun = reply.sunlight
    rows = [
        [
            str(zone_id),
            str(zone["name"] or ""),
            *(number(zone[column]) for column in COLUMNS[1:]),
            number(100 * zone["sun_hours"] / sun.open_h, 0) if sun.open_h else "",
        ]
        for zone_id, zone in reply.zones.iterrows()
    ]
    head = ["zone", "name", "sun h", "darkest tenth", "lightest tenth", "seen h", "% of open"]
    lines = [f"Hours of direct sun a day, {_days(reply)}", table(head, rows), _how(reply)]
    if shade:
        lines += ["", *_proposed(shade, saved)]
    return "\n".join(lines)


def data(reply: SunReply, shade: ShadeReply | None, saved: CutReply | None) -> dict[str, Any]:
    """Return the same for JSON."""
    sun = reply.sunlight
    result: dict[str, Any] = {
        "from": sun.first.isoformat(),
        "to": sun.last.isoformat(),
        "season": sun.season,
        "latitude": round(sun.latitude, 2),
        "open_ground_h": round(sun.open_h, 2),
        "step_m": sun.step_m,
        "kept_from_before": reply.kept,
        "zones": zones_data(pd.DataFrame(reply.zones), COLUMNS),
    }
    if shade:
        result["shade"] = {
            "under_h": shade.under_h,
            "cut": [
                {
                    "zone_id": each.zone_id,
                    "shade": each.shade._asdict(),
                    "rest": each.rest._asdict(),
                    "made": list(saved.made.get(each.zone_id, ())) if saved else [],
                }
                for each in shade.proposals
            ],
            "all_shade": list(shade.all_shade),
            "revision": saved.site.revision if saved and saved.made else None,
        }
    return result


def _days(reply: SunReply) -> str:
    sun = reply.sunlight
    place = f"at {abs(sun.latitude):.1f}° {'N' if sun.latitude >= 0 else 'S'}"
    if sun.first == sun.last:
        return f"on {sun.first.isoformat()} {place}"
    mean = "mean of the growing season" if sun.season else "mean"
    return f"{mean}, {sun.first.isoformat()} to {sun.last.isoformat()}, {place}"


def _how(reply: SunReply) -> str:
    sun = reply.sunlight
    way = "what is mapped"
    if reply.by_surface:
        way += " and what the surface heights have"
    again = " Found again: nothing it rests on has changed." if reply.kept else ""
    return (
        f"Under a clear sky, with {way} in the way; open ground has {sun.open_h:.1f} h. "
        f"Points {sun.step_m:g} m apart. Good to half an hour where heights were judged by eye."
        f"{again}"
    )


def _proposed(shade: ShadeReply, saved: CutReply | None) -> list[str]:
    lines = [
        f"{each.name} ({each.zone_id}): {_part('shade', each.shade)}, {_part('rest', each.rest)}"
        f"{_made(each.zone_id, saved)}"
        for each in shade.proposals
    ]
    limit = f"under {shade.under_h:g} h"
    if not lines:
        lines = [f"No zone is worth a cut along the line of {shade.under_h:g} h."]
    else:
        done = "Cut" if saved and saved.made else "To be cut"
        lines.insert(0, f"{done} where less than {shade.under_h:g} h begins:")
        if not (saved and saved.made):
            lines.append("Do it with --split. Ratings go to both parts; look at them again then.")
    if shade.all_shade:
        lines.append(f"All or nearly all {limit}: {', '.join(shade.all_shade)}.")
    if saved and saved.made:
        lines.append(f"Saved as revision {saved.site.revision}.")
    return lines


def _part(what: str, part: Part) -> str:
    return f"{what} {number(part.area_m2)} m² with {part.mean_h:.1f} h"


def _made(zone_id: str, saved: CutReply | None) -> str:
    made = saved.made.get(zone_id, ()) if saved else ()
    return f", now {' and '.join(made)}" if made else ""
