"""What a person should know of a tape survey: how well it agrees, and what to measure again."""

from __future__ import annotations

import math

from lawnmap.geometry.measures import ALONG, BEARING, DISTANCE, LEFT
from lawnmap.geometry.network import CHECKED
from lawnmap.geometry.traverse import Traverse
from lawnmap.readers.tape.sheet import Sheet
from lawnmap.readers.tape.survey import Survey

MOST_SHOWN = 5
WORST = 3
FLAT_DEG = 30.0  # tapes that cross flatter fix a point poorly; common practice, no source


def report(sheet: Sheet, survey: Survey) -> list[str]:
    """Return whole sentences on closing error, residuals, checks and poorly fixed points."""
    said = [_closing(survey.traverse)] if survey.traverse else _agreement(survey)
    said += _unchecked(survey)
    said += _flat(sheet, survey)
    return said


def _closing(traverse: Traverse) -> str:
    share = f"1 in {traverse.one_in:,.0f}" if math.isfinite(traverse.one_in) else "exactly"
    return (
        f"The traverse of {len(traverse.lengths)} legs and {traverse.perimeter_m:.2f} m closes "
        f"within {traverse.error_m:.2f} m ({share}); the error is shared out over the legs by "
        "their lengths (Bowditch's rule)."
    )


def _agreement(survey: Survey) -> list[str]:
    found = survey.adjustment
    if found.spare <= 0:
        return [
            "Nothing checks these measures: measure a diagonal, or each point from a third one, "
            "and a slip will show."
        ]
    alike = found.alike
    if found.suspect is not None:
        said = f"{_off(survey, found.suspect)}: measure it again."
        if found.inflation > 1:
            said += f" Until then areas are given {found.inflation:.1f} times the error of a tape."
        return [said]
    if not found.agrees:
        worst = "; ".join(_off(survey, each) for each in alike[:WORST])
        more = f"; and {len(alike) - WORST} more that it could be" if len(alike) > WORST else ""
        return [
            f"The measures disagree by {found.s0:.1f} times what a tape gives, and which is wrong "
            f"cannot be told. Measure again, one by one: {worst}{more}."
        ]
    few = len(found.residual) - found.spare
    said = f"{len(found.residual)} measures where {few} would do: they agree as well as a tape can."
    return [f"{said} Most is put right in {_put_right(survey, alike[0])}." if alike else said]


def _put_right(survey: Survey, which: int) -> str:
    """Return the measure that the adjustment changes most for its kind, and by how much."""
    start, end, point = (survey.names[each] for each in survey.measures.ends[which])
    size, kind = abs(float(survey.adjustment.residual[which])), survey.measures.kind[which]
    by = f"{math.degrees(size):.1f}°" if kind == BEARING else f"{size:.2f} m"
    name = f"{start} to {end}" if kind in {DISTANCE, BEARING} else f"the offset of {point}"
    return f"{name}, by {by} (line {survey.lines[which]})"


def _off(survey: Survey, which: int) -> str:
    """Return what a measure is off by, in words."""
    start, end, point = (survey.names[each] for each in survey.measures.ends[which])
    error = float(survey.adjustment.errors[which])
    size, kind = abs(error), survey.measures.kind[which]
    than = f"than the others allow (line {survey.lines[which]})"
    if kind == DISTANCE:
        return f"{start} to {end} is {size:.2f} m {'longer' if error > 0 else 'shorter'} {than}"
    if kind == BEARING:
        way = "clockwise" if error > 0 else "anticlockwise"
        return f"the bearing of {start} to {end} is {math.degrees(size):.1f}° further {way} {than}"
    if kind == ALONG:
        way = "further on" if error > 0 else "nearer"
        return f"{point} stands {size:.2f} m {way} along {start} to {end} {than}"
    outward = error * survey.measures.value[which] > 0
    way = "longer" if outward else "shorter"
    return f"the offset of {point} from {start} to {end} is {size:.2f} m {way} {than}"


def _unchecked(survey: Survey) -> list[str]:
    """Name the points whose every measure could be wrong without anything showing it."""
    found = survey.adjustment
    if found.spare <= 0 or survey.traverse:
        return []
    measures = survey.measures
    checked = found.redundancy > CHECKED
    offset = (measures.kind == ALONG) | (measures.kind == LEFT)
    seen: set[int] = set(measures.ends[checked & offset, 2].tolist())
    seen.update(measures.ends[checked & ~offset, :2].ravel().tolist())
    names = [name for index, name in enumerate(survey.names) if index not in seen]
    if not names:
        return []
    return [f"Nothing checks {_listed(names)}: one more tie to each would."]


def _flat(sheet: Sheet, survey: Survey) -> list[str]:
    """Name the points that hang on two tapes alone which cross at a flat angle."""
    ties: dict[str, set[str]] = {name: set() for name in survey.names}
    for line in sheet.lines:
        ties[line.start].add(line.end)
        ties[line.end].add(line.start)
    held = {each.point for each in sheet.offsets}
    held |= {
        name
        for line in sheet.lines
        if line.bearing or line.kind == "baseline"
        for name in (line.start, line.end)
    }
    flat = []
    for name, others in ties.items():
        if len(others) != 2 or name in held:  # noqa: PLR2004 - hangs on two tapes
            continue
        one, two = survey.places(sorted(others)) - survey.places([name])
        sine = abs(float(one[0] * two[1] - one[1] * two[0])) / math.hypot(*one) / math.hypot(*two)
        if sine < math.sin(math.radians(FLAT_DEG)):
            flat.append(name)
    if not flat:
        return []
    return [
        f"The two tapes to {_listed(flat)} cross at less than {FLAT_DEG:.0f}° or nearly in line, "
        "which fixes a point poorly: add a tie from well to the side."
    ]


def _listed(names: list[str]) -> str:
    more = len(names) - MOST_SHOWN
    shown = ", ".join(names[:MOST_SHOWN])
    return f"{shown} and {more} more" if more > 0 else shown
