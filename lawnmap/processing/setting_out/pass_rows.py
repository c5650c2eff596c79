"""Rows of the table ``passes`` and the layer ``bouts``, from lines that were laid."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import shapely

from lawnmap.geometry.frame import Frame
from lawnmap.geometry.passes import timing
from lawnmap.geometry.slope import ground_factor
from lawnmap.processing import machines
from lawnmap.processing.setting_out.pass_headings import HALF_TURN, Pass
from lawnmap.processing.setting_out.pass_place import Place, Work, cable_m
from lawnmap.processing.setting_out.pass_words import direction
from lawnmap.processing.setting_out.pass_working import Worked, Working
from lawnmap.reference import tables

TRACTOR = "tractor"
HEADING_PLACES = 2  # 0.01° is a centimetre in 57 m


def row_of(place: Place, work: Work, working: Working, each: Pass, found: Worked) -> dict[str, Any]:
    """Return a row of the table ``passes``, but for what is to be looked at twice.

    Parameters
    ----------
    place : Place
    work : Work
    working : Working
        How the machine works: width, overlap and the like.
    each : Pass
    found : Worked
        The lines of that pass, and what they cover.
    """
    laid, cover = found.laid, found.cover
    factor = float(ground_factor(float(place.zone["slope_deg"])))
    size = laid.regions.area.area
    tractor = "tractor_turn_s" if work.machine.kind == TRACTOR else "turn_s"
    speed = machines.speed_km_h(work.machine)
    one_go = timing.hours(
        laid.length_m, laid.turns, speed, tables.value(tractor).number, laid.idle_m
    )
    return {
        **{name: work.step[name] for name in ("zone_id", "operation", "sequence")},
        "machine": work.machine.name,
        "times": each.times,
        "width_m": working.width_m,
        "overlap_pct": 100 * working.overlap,
        "heading_deg": round(laid.heading_deg, HEADING_PLACES) % HALF_TURN,
        "direction": laid.why or direction(laid, place.frame, place.features),
        "bouts": len(laid.bouts),
        "headland_bouts": len(laid.rounds),
        "length_m": laid.length_m,
        "turns": laid.turns,
        "lifts": found.lifted.lifts,
        "hours": np.nan if laid.why else one_go * each.times,
        "covered_pct": 100 * cover.covered.area / size,
        "reach_pct": 100 * cover.reach_share,
        "left_m2": cover.left.area * factor,
        "twice_m2": cover.twice_m2 * factor,
        "outside_m2": cover.outside_m2 * factor,
        "cable_m": cable_m(place, work.machine, laid),
        "rule": "" if laid.why else each.way.rule,
    }


def planned_h(step: Mapping[str, Any], share: float) -> float:
    """Return the plan's most hours of passes; for what does not shake, of the whole step."""
    held = float(step["machine_hours"])
    return share * (held if np.isfinite(held) else float(step["hours"]))


def bouts_of(row: Mapping[str, Any], found: Worked, frame: Frame) -> Iterator[dict[str, Any]]:
    """Yield the rows of the layer ``bouts``: worked pieces, in the order they are walked."""
    cut = found.lifted
    parts = [
        *(
            ("headland", int(place) + 1, line)
            for place, line in zip(cut.round, cut.rounds, strict=True)
        ),
        *(
            ("bout", int(place) + 1, line)
            for place, line in zip(cut.bout, map(shapely.LineString, cut.bouts), strict=True)
        ),
    ]
    shapes = frame.round(np.array([line for _, _, line in parts], dtype=object))
    for (part, number, line), shape in zip(parts, shapes, strict=True):
        yield {
            "zone_id": row["zone_id"],
            "operation": row["operation"],
            "pass": row["pass"],
            "part": part,
            "number": number,
            "length_m": float(line.length),
            "geometry": shape,
        }
