"""A tape survey worked out: every point with a place, every measure with what it is off by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from lawnmap.errors import InputRefused
from lawnmap.geometry.measures import ALONG, BEARING, DISTANCE, LEFT, Measures
from lawnmap.geometry.network import Adjustment, Loose, adjust, judge
from lawnmap.geometry.ties import left_of
from lawnmap.geometry.traverse import Traverse, bowditch
from lawnmap.readers.tape.places import First, first_places
from lawnmap.readers.tape.sheet import Line, Sheet

Floats = npt.NDArray[np.float64]

# How well a careful person measures in a garden. Common practice, no source.
TAPE_M = 0.02  # reading, marking and stretching, whatever the length
TAPE_SHARE = 0.001  # of the length: sag, slope, a tape not quite straight
RIGHT_ANGLE_DEG = 2.0  # an offset set square to its line by eye
LEAST_CLOSING = 100.0  # a traverse that closes worse than 1 in this is refused
LEAST_LEGS = 3


@dataclass(frozen=True)
class Survey:
    """The points of a sheet and how well they are known.

    Attributes
    ----------
    names : list of str
        Of the points, in the order of their numbers.
    measures : Measures
    adjustment : Adjustment
    lines : list of int
        Line of the sheet that each measure stands on.
    traverse : Traverse or None
        When the sheet is one closed traverse and nothing else.
    """

    names: list[str]
    measures: Measures
    adjustment: Adjustment
    lines: list[int]
    traverse: Traverse | None = None

    @cached_property
    def numbers(self) -> dict[str, int]:
        """Number of each point by its name."""
        return {name: number for number, name in enumerate(self.names)}

    def places(self, names: Sequence[str]) -> Floats:
        """Return (n, 2) east and north of the points named [m]."""
        places: Floats = self.adjustment.xy[[self.numbers[name] for name in names]]
        return places


def survey(sheet: Sheet) -> Survey:
    """Return a sheet worked out.

    Raises
    ------
    InputRefused
        With the point or line, when the measures do not fix every point, contradict a stated side,
        or a traverse does not close well enough.
    """
    legs = closed_legs(sheet)
    first = _by_bowditch(legs) if legs else (first_places(sheet), None)
    (places, seed), traverse = first
    names = sheet.points
    xy = np.array([places[name] for name in names])
    measures, lines = _measures(sheet, names)
    held = np.zeros((len(names), 2), dtype=bool)
    held[names.index(seed.start)] = True
    if not (measures.kind == BEARING).any():
        held[names.index(seed.end), 1] = True  # it lies due east
    try:
        adjustment = judge(xy, measures, held) if traverse else adjust(xy, measures, held)
    except Loose as error:
        raise InputRefused(
            "is not fixed by its measures",
            place=f"point {names[error.points[0]]}",
            remedy="Measure it from one more fixed point, well to the side of the others.",
        ) from error
    except ValueError as error:
        raise InputRefused(
            str(error), remedy="Look for a length that was written down wrong."
        ) from error
    worked = Survey(names, measures, adjustment, lines, traverse)
    _check_sides(sheet, worked)
    return worked


def tape_sigma(length_m: float) -> float:
    """Return the standard error of one taped length [m]."""
    return math.hypot(TAPE_M, TAPE_SHARE * length_m)


def closed_legs(sheet: Sheet) -> list[Line]:
    """Return the legs of a sheet in the order walked, when they are one closed traverse."""
    by_start = {line.start: line for line in sheet.lines}
    pure = all(line.kind == "leg" for line in sheet.lines) and not sheet.offsets
    if not pure or len(by_start) != len(sheet.lines) or len(by_start) < LEAST_LEGS:
        return []
    legs = [sheet.lines[0]]
    while legs[-1].end in by_start and len(legs) < len(by_start):
        legs.append(by_start[legs[-1].end])
    whole = len({leg.end for leg in legs}) == len(by_start) and legs[-1].end == legs[0].start
    return legs if whole else []


def _by_bowditch(legs: list[Line]) -> tuple[First, Traverse]:
    traverse = bowditch(
        np.array([leg.length_m for leg in legs]),
        np.array([leg.bearing.degrees if leg.bearing else 0.0 for leg in legs]),
    )
    if traverse.one_in < LEAST_CLOSING:
        suspect = "Measure its legs and bearings again."
        if traverse.suspect is not None:
            leg = legs[traverse.suspect]
            suspect = (
                f"The error runs along {leg.start} to {leg.end}: measure that length again first."
            )
        raise InputRefused(
            f"the traverse of {traverse.perimeter_m:.2f} m does not close by "
            f"{traverse.error_m:.2f} m (1 in {traverse.one_in:.0f}; 1 in {LEAST_CLOSING:.0f} is "
            "asked for)",
            remedy=suspect,
        )
    places = {leg.start: xy for leg, xy in zip(legs, traverse.points, strict=True)}
    return First(places, legs[0]), traverse


def _measures(sheet: Sheet, names: list[str]) -> tuple[Measures, list[int]]:
    """Return all measures as numbers, and the line of the sheet each stands on."""
    number = {name: index for index, name in enumerate(names)}
    found: list[tuple[int, tuple[int, int, int], float, float, int]] = []
    for line in sheet.lines:
        ends = (number[line.start], number[line.end], number[line.start])
        at = line.row.line
        found.append((DISTANCE, ends, line.length_m, tape_sigma(line.length_m), at))
        if line.bearing is not None:
            value, sigma = (math.radians(each) for each in line.bearing)
            found.append((BEARING, ends, value, sigma, at))
    square = math.radians(RIGHT_ANGLE_DEG)
    for each in sheet.offsets:
        ends = (number[each.start], number[each.end], number[each.point])
        along = math.hypot(tape_sigma(each.along_m), square * each.left_m)
        found.append((ALONG, ends, each.along_m, along, each.row.line))
        found.append((LEFT, ends, each.left_m, tape_sigma(abs(each.left_m)), each.row.line))
    kind, which, value_, sigma_, rows = zip(*found, strict=True)
    measures = Measures(
        np.array(kind, dtype=np.int64),
        np.array(which, dtype=np.int64),
        np.array(value_, dtype=np.float64),
        np.array(sigma_, dtype=np.float64),
    )
    return measures, list(rows)


def _check_sides(sheet: Sheet, worked: Survey) -> None:
    for side in sheet.sides:
        left = left_of(*worked.places(side[:3]))
        if (left > 0) != side.left:
            said, found = ("left", "right") if side.left else ("right", "left")
            raise InputRefused(
                f"{side.point} is said to lie {said} of {side.start} to {side.end}, and the "
                f"measures put it {abs(left):.2f} m to the {found}",
                place=f"line {side.row.line}",
                remedy="Correct the side, or the measures of that point.",
            )
