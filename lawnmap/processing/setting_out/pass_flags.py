"""What to look at twice in pass lines: cable, hours unlike the plan's, squares, slopes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from lawnmap.model import Machine
from lawnmap.processing.setting_out.pass_ground import SCARIFYING
from lawnmap.reference import tables

ELECTRIC = "electric"
SQUARE = "crossing_one_way"


def flags(
    row: Mapping[str, Any],
    zone: Mapping[str, Any],
    machine: Machine,
    choice: Mapping[str, Any],
) -> Iterator[str]:
    """Yield what a person should look at before going by a row of the table ``passes``.

    Parameters
    ----------
    row : mapping
        Of the table ``passes``.
    zone : mapping
        A row of the zones.
    machine : Machine
    choice : mapping
        ``pass_lines`` of the specification.
    """
    if machine.kind == ELECTRIC and row["bouts"] + row["headland_bouts"]:
        yield from _cable(float(row["cable_m"]), choice.get("cable_m"))
    yield from _hours(float(row["hours"]), float(row["hours_planned"]))
    if row["operation"] == SCARIFYING and zone["crossing_rule"] == SQUARE and _by_turns(row):
        yield (
            "the lines run where there are fewest turns: a square is worked along its pitches, so "
            "give their direction as heading_deg"
        )
    slope = float(zone["slope_deg"])
    if slope > tables.value("level_up_to_deg").number:
        if row["rule"] == "heading_bank_side":
            yield (
                f"{slope:.0f}° steep, and which way it falls is not known: check that the lines "
                "run across the face"
            )
        elif row["rule"] in {"heading_own", "heading_longest_edge"}:
            yield f"{slope:.0f}° steep: see that your own direction never runs up and down"


def told(rows: list[dict[str, Any]]) -> tuple[str, ...]:
    """Return what is flagged, for the notes of a plan: alike ones together, one a zone and step."""
    first: dict[tuple[str, str], str] = {}
    for row in rows:
        if row["flag"]:
            key = str(row["zone_id"]), str(row["operation"]).replace("_", " ")
            first.setdefault(key, str(row["flag"]))
    where: dict[str, list[str]] = {}
    for (zone_id, work), flag in first.items():
        where.setdefault(flag, []).append(f"{zone_id} ({work})")
    return tuple(f"Pass lines of {', '.join(each)}: {flag}." for flag, each in where.items())


def _by_turns(row: Mapping[str, Any]) -> bool:
    """Return whether nothing but the number of turns chose the heading."""
    return row["rule"] in {"heading_least_width", "heading_search"}


def _cable(reach_m: float, own_m: float | None) -> Iterator[str]:
    if np.isnan(reach_m):
        yield "no socket is mapped: find out how far the cable has to reach"
    elif own_m is not None and reach_m > own_m:
        yield (
            f"the cable has to reach {reach_m:.0f} m as the crow flies, and {own_m:g} m is to hand"
        )


def _hours(by_lines: float, planned: float) -> Iterator[str]:
    """Compare the hours by the lines with the most that the plan has for the same passes."""
    apart = tables.value("pass_hours_apart")
    if not (by_lines > 0 and planned > 0):
        return
    if not apart.low <= by_lines / planned <= apart.high:
        yield (
            f"{tables.shown(by_lines)} h by the lines, {tables.shown(planned)} h at most in the "
            "plan: see which is yours"
        )
