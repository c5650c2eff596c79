"""Pass lines in words: one line a pass, as the crew reads it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from lawnmap.exports.wording.amounts import area, missing, number, plain, span, text
from lawnmap.exports.wording.rows import records
from lawnmap.pages.words import word

BLADES = "scarifying"
LEAST_M2 = 0.5  # less is not worth a rake


def pass_lines(table: pd.DataFrame | None, units: str) -> dict[tuple[str, str], list[str]]:
    """Return the lines of each zone and operation, in the order of the passes.

    Parameters
    ----------
    table : DataFrame or None
        The table ``passes`` with the columns its reader may see; None where there is none.
    units : str
    """
    found: dict[tuple[str, str], list[str]] = {}
    for row in records(table) if table is not None else ():
        key = text(row.get("zone_id")), text(row.get("operation"))
        found.setdefault(key, []).append(line(row, units))
    return found


def line(row: Mapping[str, Any], units: str) -> str:
    """Return one pass: how many bouts, which way, from where, how long, and what is left."""
    times = number(float(row["times"]))
    head = word(
        "pass.once" if times == "1" else "pass.times", number=_whole(row, "pass"), times=times
    )
    parts = [f"{head} {_bouts(row)}"]
    parts += [each for each in (_long(row, units), _hours(row), *_left(row, units)) if each]
    return "; ".join(part for part in parts if part) + "."


def _bouts(row: Mapping[str, Any]) -> str:
    direction, rounds = text(row.get("direction")), _whole(row, "headland_bouts")
    if float(row["bouts"]):
        bouts = _whole(row, "bouts")
        return word("pass.bouts", bouts=bouts, rounds=rounds, direction=direction)
    if float(row["headland_bouts"]):
        return word("pass.rounds", rounds=rounds)
    return word("pass.none", direction=direction)


def _long(row: Mapping[str, Any], units: str) -> str:
    if missing(row.get("length_m")) or not float(row["length_m"]):
        return ""
    metres = round(float(row["length_m"]))
    return word("pass.length", length=span(metres, metres, "m", units), turns=_whole(row, "turns"))


def _hours(row: Mapping[str, Any]) -> str:
    if missing(row.get("hours")) or missing(row.get("hours_planned")):
        return ""
    by_lines, planned = (plain(float(row[each])) for each in ("hours", "hours_planned"))
    return word("pass.hours", hours=by_lines, planned=planned)


def _left(row: Mapping[str, Any], units: str) -> list[str]:
    """Return what is lifted over, what is left for the rake, and how far a cable reaches."""
    said = []
    if not missing(row.get("lifts")) and float(row["lifts"]):
        said.append(word("pass.lifts", count=_whole(row, "lifts")))
    if not missing(row.get("left_m2")) and float(row["left_m2"]) >= LEAST_M2:
        by_rake = "pass.left_hidden" if said else "pass.left"
        key = by_rake if row["operation"] == BLADES else "pass.left_by_hand"
        said.append(word(key, area=area(float(row["left_m2"]), units=units)))
    if not missing(row.get("cable_m")):
        metres = round(float(row["cable_m"]))
        said.append(word("pass.cable", length=span(metres, metres, "m", units)))
    return said


def _whole(row: Mapping[str, Any], column: str) -> str:
    return number(float(row[column]))
