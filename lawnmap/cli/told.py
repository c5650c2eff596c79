"""Results as people read them, and as JSON has them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import pandas as pd

from lawnmap.errors import printable
from lawnmap.files.json_text import dumps

if TYPE_CHECKING:
    from lawnmap.jobs.check import Finding
    from lawnmap.jobs.place import PlaceReply
    from lawnmap.jobs.read import ReadReply
    from lawnmap.model import Site

AREAS = (
    "name",
    "outline_area_m2",
    "obstacle_area_m2",
    "shared_area_m2",
    "plan_area_m2",
    "slope_deg",
    "ground_area_m2",
    "area_sigma_m2",
    "perimeter_m",
)


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return rows as aligned text; a column whose cells are all numbers goes to the right."""
    cells = [[printable(cell) for cell in row] for row in rows]
    columns = list(zip(head, *cells, strict=True))
    widths = [max(len(cell) for cell in column) for column in columns]
    right = [
        all(
            cell.strip("±≈<> ").replace(",", "").replace(".", "").replace("–", "").isdigit()
            for cell in column[1:]
            if cell
        )
        and len(column) > 1
        for column in columns
    ]
    lines = []
    for line in [list(head), *cells]:
        parts = [
            cell.rjust(width) if flush else cell.ljust(width)
            for cell, width, flush in zip(line, widths, right, strict=True)
        ]
        lines.append("  ".join(parts).rstrip())
    return "\n".join(lines)


def plain(value: Any) -> Any:
    """Return a value as JSON has it: no NaN, no NumPy types."""
    if isinstance(value, float) or hasattr(value, "item"):
        value = value.item() if hasattr(value, "item") else value
        if isinstance(value, float) and not math.isfinite(value):
            return None
        return value
    return None if value is None or value is pd.NA or value is pd.NaT else value


def rows_data(rows: pd.DataFrame) -> list[dict[str, Any]]:
    """Return a table as a list of objects."""
    return [
        {str(name): plain(value) for name, value in row.items()} for row in rows.to_dict("records")
    ]


def zones_data(zones: pd.DataFrame, columns: Sequence[str]) -> list[dict[str, Any]]:
    """Return the zones as a list of objects, zone_id first."""
    kept = [name for name in columns if name in zones.columns]
    return rows_data(pd.DataFrame(zones[kept]).reset_index())


def number(value: Any, digits: int = 1) -> str:
    """Return a number with thousands marked; empty when there is none."""
    return "" if value is None or pd.isna(value) else f"{value:,.{digits}f}"


def areas_text(zones: pd.DataFrame) -> str:
    """Return the areas of all zones, and their sum."""
    head = ["zone", "name", "outline m²", "taken out m²", "map m²", "ground m²", "±", "edge m"]
    rows = [
        [
            str(zone_id),
            str(zone["name"] or ""),
            number(zone["outline_area_m2"]),
            number(zone["obstacle_area_m2"] + zone["shared_area_m2"]),
            number(zone["plan_area_m2"]),
            number(zone["ground_area_m2"]),
            number(zone["area_sigma_m2"]),
            number(zone["perimeter_m"]),
        ]
        for zone_id, zone in zones.iterrows()
    ]
    sums = [
        zones["outline_area_m2"].sum(),
        (zones["obstacle_area_m2"] + zones["shared_area_m2"]).sum(),
        zones["plan_area_m2"].sum(),
        zones["ground_area_m2"].sum(),
    ]
    rows.append(["all", f"{len(zones)} zones", *(number(each) for each in sums), "", ""])
    return table(head, rows)


def geojson(site: Site) -> str:
    """Return the features of a site as a plain GeoJSON text."""
    return dumps({"type": "FeatureCollection", "features": site.document["features"]})


def reading_data(reply: ReadReply) -> dict[str, Any]:
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
    return {"saved": reply.saved, "revision": reply.site.revision, "changes": changes}


def reading(reply: ReadReply, *, dry_run: bool) -> str:
    """Return what was read, for people."""
    rows = [
        [
            change.what,
            change.kind,
            change.name,
            number(change.area_m2),
            number(change.area_before_m2),
        ]
        for change in reply.changes
    ]
    text = table(["what", "feature", "name", "m²", "m² before"], rows)
    if reply.saved:
        return f"{text}\nSaved as revision {reply.site.revision}."
    return f"{text}\nNothing was saved." if dry_run else f"{text}\nNothing had changed."


def changed(zones: Sequence[str], site: Site, *, saved: bool, dry_run: bool) -> str:
    """Return which zones got other facts."""
    names = ", ".join(zones) or "no zone"
    if saved:
        return f"Changed: {names}. Saved as revision {site.revision}."
    return f"Would change: {names}. Nothing was saved." if dry_run else "Nothing had changed."


def place_data(reply: PlaceReply) -> dict[str, Any]:
    """Return a fit of control points, as JSON has it."""
    return {
        "saved": reply.saved,
        "scale": reply.fit.scale,
        "turn_deg": reply.fit.turn_deg,
        "rmse_m": reply.fit.rmse if reply.fit.checked else None,
        "residuals_m": [
            {"name": name, "east_m": float(east), "north_m": float(north)}
            for name, (east, north) in zip(reply.names, reply.fit.residuals, strict=True)
        ],
        "area_before_m2": reply.area_before_m2,
        "area_after_m2": reply.area_after_m2,
    }


def place(reply: PlaceReply) -> str:
    """Return a fit of control points, for people."""
    rows = [
        [name, f"{east:+.3f}", f"{north:+.3f}"]
        for name, (east, north) in zip(reply.names, reply.fit.residuals, strict=True)
    ]
    check = f"{reply.fit.rmse:.3f} m" if reply.fit.checked else "no check (two points always fit)"
    return "\n".join(
        [
            table(["control point", "off east m", "off north m"], rows),
            f"Scale {reply.fit.scale:.6f}, turned {reply.fit.turn_deg:.3f}° anticlockwise; "
            f"root mean square {check}.",
            f"Lawn outlines {reply.area_before_m2:,.2f} m² before, "
            f"{reply.area_after_m2:,.2f} m² after.",
            f"Saved as revision {reply.site.revision}." if reply.saved else "Nothing was saved.",
        ]
    )


def findings(found: Sequence[Finding]) -> str:
    """Return what a check found, each with what to do."""
    if not found:
        return "The site is sound and ready for a plan."
    lines = []
    for each in found:
        where = f"{each.zone_id}: " if each.zone_id else ""
        remedy = f"\n    {each.remedy}" if each.remedy else ""
        lines.append(printable(f"- {where}{each.what}") + remedy)
    return "\n".join(lines)
