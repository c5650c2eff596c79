"""Tracer of the pass lines of a step: bouts, length, turns, hours by them, and what is left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.pass_text import line
from lawnmap.exports.wording.step_text import Step
from lawnmap.jobs.tracing.inputs import SPEED, Ground, of_choices, of_machine, of_rule
from lawnmap.jobs.tracing.traced import Figure, Traced, traced

CHOICES = ("pass_lines",)
USED = ("pass_overlap_share", "headland_bouts", "turn_s", "tractor_turn_s")
UNITS = {
    "bouts": "bouts",
    "headland_bouts": "bouts along edges",
    "length_m": "m",
    "turns": "turns",
    "lifts": "lifts",
    "hours": "h by the lines",
    "hours_planned": "h planned at most",
    "cable_m": "m of cable",
    "left_m2": "m² left",
}


def of_passes(ground: Ground, step: Step) -> Iterator[Traced]:
    """Trace each pass over the zone that the step's machine is walked or driven for."""
    known, generic = of_machine(step.machine, ground, SPEED)
    for row in ground.rows("passes"):
        if row["operation"] != step.operation or row["sequence"] != step.row["sequence"]:
            continue
        rule = text(row["rule"])
        cells = {**ground.zone, **row}
        yield traced(
            f"step {row['sequence']:.0f}, {step.title}: pass lines, pass {row['pass']:.0f}",
            rule,
            cells,
            figures=[*_figures(row)],
            sheet=line(row, "metric"),
            inputs=[*of_rule(rule, ground, row), *known, *of_choices(CHOICES, ground)],
            more=generic,
            used=USED,
        )


def _figures(row: dict[str, Any]) -> Iterator[Figure]:
    for name, unit in UNITS.items():
        if not missing(row.get(name)):
            yield Figure(float(row[name]), float(row[name]), unit)
