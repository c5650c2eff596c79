"""Results as people read them, and as JSON has them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import pandas as pd

from lawnmap.agronomy.unit_systems import BULK, METRIC, unit_for
from lawnmap.errors import printable
from lawnmap.exports.wording.amounts import SPACE, THIN, span

if TYPE_CHECKING:
    from lawnmap.jobs.check import Finding
    from lawnmap.model import Site

AREAS = (
    "name",
    "outline_area_m2",
    "obstacle_area_m2",
    "shared_area_m2",
    "plan_area_m2",
    "slope_deg",
    "slope_source",
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


def between(low: Any, high: Any, digits: int = 1) -> str:
    """Return a range, or one number where both ends read alike; empty when there is none."""
    if pd.isna(high):
        return ""
    most = number(high, digits)
    least = most if pd.isna(low) else number(low, digits)
    return most if least == most else f"{least}–{most}"


def amount(low: Any, high: Any, unit: str, units: str, digits: int = 1) -> str:
    """Return a range with its unit, or one amount; empty when there is none."""
    if pd.isna(high) or not unit:
        return ""
    if units in {"", METRIC}:
        return f"{between(low, high, digits)} {unit.removesuffix(BULK)}"
    return spaced(span(low, high, unit, units))


def spaced(shown: str) -> str:
    """Return an amount as a terminal takes it: plain blanks, thousands marked as elsewhere."""
    return shown.replace(THIN, ",").replace(SPACE, " ")


def areas_text(zones: pd.DataFrame, units: str = METRIC) -> str:
    """Return the areas of all zones, and their sum; slopes when there are any."""
    taken_out = zones["obstacle_area_m2"] + zones["shared_area_m2"]
    sloped = bool((zones["slope_deg"] > 0).any())
    area, edge = unit_for(math.inf, "m²", units), unit_for(math.inf, "m", units)
    columns = {  # head: values, decimals, whether they add up
        f"outline {area.name}": (zones["outline_area_m2"] / area.size, 1, True),
        f"taken out {area.name}": (taken_out / area.size, 1, True),
        f"map {area.name}": (zones["plan_area_m2"] / area.size, 1, True),
        **({"slope °": (zones["slope_deg"], 0, False)} if sloped else {}),
        f"ground {area.name}": (zones["ground_area_m2"] / area.size, 1, True),
        "±": (zones["area_sigma_m2"] / area.size, 1, False),
        f"edge {edge.name}": (zones["perimeter_m"] / edge.size, 1, False),
    }
    cells = [[number(each, digits) for each in values] for values, digits, _ in columns.values()]
    names = [[str(zone_id) for zone_id in zones.index], [str(name or "") for name in zones["name"]]]
    rows = [list(row) for row in zip(*names, *cells, strict=True)]
    count = "1 zone" if len(zones) == 1 else f"{len(zones)} zones"
    sums = [number(values.sum()) if adds else "" for values, _, adds in columns.values()]
    return table(["zone", "name", *columns], [*rows, ["all", count, *sums]])


def changed(zones: Sequence[str], site: Site, *, saved: bool, dry_run: bool) -> str:
    """Return which zones got other facts."""
    names = ", ".join(zones) or "no zone"
    if saved:
        return f"Changed: {names}. Saved as revision {site.revision}."
    return f"Would change: {names}. Nothing was saved." if dry_run else "Nothing had changed."


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


def said(found: Sequence[Finding]) -> str:
    """Return what people said in their replies, behind what a check found; empty for nothing."""
    return f"\n\nSaid in replies:\n{findings(found)}" if found else ""
