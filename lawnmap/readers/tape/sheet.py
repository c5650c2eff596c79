"""The sheet of a tape survey: a row a measure, as it was written down in the field."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.readers.tape.bearings import Bearing, bearing
from lawnmap.readers.tape.lengths import length
from lawnmap.readers.tape.names import MOST_POINTS, ends, points
from lawnmap.readers.tape.rows import DRAWN, LINES, Row, refusal

MOST_NAMED = 10_000  # points in outlines and sides, all counted
SIDES = {"left": True, "l": True, "right": False, "r": False}


class Line(NamedTuple):
    """A length between two points, and its bearing where there is one."""

    kind: str
    start: str
    end: str
    length_m: float
    bearing: Bearing | None
    row: Row


class Offset(NamedTuple):
    """A point so far along a line and so far to the left of it (right is below zero)."""

    start: str
    end: str
    point: str
    along_m: float
    left_m: float
    row: Row


class Side(NamedTuple):
    """On which side of a line, walked from start to end, a point lies."""

    start: str
    end: str
    point: str
    left: bool
    row: Row


class Drawing(NamedTuple):
    """What is drawn through points: an outline, a line or a spot."""

    kind: str
    points: list[str]
    cells: dict[str, str]
    line: int


@dataclass
class Sheet:
    """A whole sheet, every cell understood, in metres."""

    lines: list[Line] = field(default_factory=list)
    offsets: list[Offset] = field(default_factory=list)
    sides: list[Side] = field(default_factory=list)
    drawings: list[Drawing] = field(default_factory=list)
    numbered: list[str] = field(default_factory=list)  # points of offsets that had no name

    @property
    def points(self) -> list[str]:
        """Names of all measured points in the order they appear."""
        names = [name for line in self.lines for name in (line.start, line.end)]
        names += [name for each in self.offsets for name in (each.start, each.end, each.point)]
        return list(dict.fromkeys(names))


def sheet(found: list[Row], unit_name: str | None) -> Sheet:
    """Return the sheet that the rows make.

    Raises
    ------
    InputRefused
        With the line, for a cell that cannot be understood.
    """
    made = Sheet()
    named = 0
    for row in found:
        try:
            named += _take(made, row, unit_name)
        except InputRefused as error:
            raise error.within(place=f"line {row.line}") from error.__cause__
        if named > MOST_NAMED:  # one cell may name hundreds
            raise refusal(
                row, f"more than {MOST_NAMED:,} points are named in all", "Split the sheet."
            )
    made.sides += [_beside(line, made) for line in made.lines if line.row.cells.get("side")]
    _check_points(made)
    return made


def _take(made: Sheet, row: Row, unit_name: str | None) -> int:
    """Add what a row says; return how many points its cell names."""
    if row.kind in LINES:
        made.lines.append(_line(row, unit_name))
    elif row.kind == "offset":
        made.offsets.append(_offset(row, unit_name, made))
    elif row.kind in SIDES:
        sides = _sides(row)
        made.sides += sides
        return len(sides)
    elif row.kind in DRAWN:
        drawing = Drawing(row.kind, points(row.cells["points"]), row.cells, row.line)
        made.drawings.append(drawing)
        return len(drawing.points)
    return 0


def _line(row: Row, unit_name: str | None) -> Line:
    start, end = ends(row)
    towards = row.cells.get("bearing", "")
    return Line(
        row.kind,
        start,
        end,
        length(row.cells["length"], unit_name),
        bearing(towards) if towards else None,
        row,
    )


def _offset(row: Row, unit_name: str | None, made: Sheet) -> Offset:
    start, end = ends(row)
    names = points(row.cells.get("points", ""))
    if not names:
        names = [f"o{len(made.numbered) + 1}"]
        made.numbered.extend(names)
    if len(names) > 1:
        raise InputRefused("an offset leads to one point", remedy="Give each point its own row.")
    if names[0] in {start, end}:
        raise InputRefused(f"is an offset to {names[0]} itself", remedy="Name another point.")
    across = length(row.cells["length"], unit_name, zero=True)
    side = row.cells.get("side", "")
    if across > 0 and not side:
        raise InputRefused(
            f"the offset does not say on which side of {start} to {end} it lies",
            remedy="Write left or right under side, as seen walking from the first to the second.",
        )
    left = across if not side or _is_left(side) else -across
    return Offset(start, end, names[0], length(row.cells["along"], unit_name, zero=True), left, row)


def _sides(row: Row) -> list[Side]:
    start, end = ends(row)
    names = points(row.cells["points"])
    if {start, end} & set(names):
        raise InputRefused("the line's own ends have no side", remedy="Name other points.")
    return [Side(start, end, name, SIDES[row.kind], row) for name in names]


def _beside(line: Line, made: Sheet) -> Side:
    """Return the side of the baseline that a tie's own cell tells."""
    both = {line.start, line.end}
    baselines = [base for base in made.lines if base.kind == "baseline"]
    near = [base for base in baselines if both & {base.start, base.end}]
    chosen = near or baselines
    if len(chosen) != 1 or both == {chosen[0].start, chosen[0].end}:
        raise refusal(
            line.row,
            f"{line.row.cells['side'][:10]!r} of which baseline is not plain",
            "Clear it, and add a row such as: left, A, B, with the point under points.",
        )
    base = chosen[0]
    point = line.start if line.end in {base.start, base.end} else line.end
    try:
        return Side(base.start, base.end, point, _is_left(line.row.cells["side"]), line.row)
    except InputRefused as error:
        raise error.within(place=f"line {line.row.line}") from None


def _is_left(text: str) -> bool:
    if text.lower() not in SIDES:
        raise InputRefused(f"the side is {text[:20]!r}", remedy="It can be left or right.")
    return SIDES[text.lower()]


def _check_points(made: Sheet) -> None:
    if not made.lines:
        raise InputRefused(
            "holds no measured line", remedy="Begin with a baseline: from, to and length."
        )
    if not made.drawings:
        raise InputRefused(
            "has no outline",
            remedy="Add a row: outline, with its corners in order under points, and a zone.",
        )
    measured = made.points
    if len(measured) > MOST_POINTS:
        raise InputRefused(
            f"has more than {MOST_POINTS} points", remedy="Make a sheet for each part."
        )
    given = {name for line in made.lines for name in line[1:3]}
    given |= {each.point for each in made.offsets if each.row.cells.get("points")}
    both = [name for name in made.numbered if name in given]
    if both:
        raise InputRefused(
            f"{both[0]} is the name of a point and the number of an offset without a name",
            remedy=f"Call the point something other than {both[0]}, or name all offsets.",
        )
    known = set(measured)
    named = [(each.points, each.line) for each in made.drawings]
    named += [([each.start, each.end, each.point], each.row.line) for each in made.sides]
    for names, line in named:
        for name in names:
            if name not in known:
                raise InputRefused(
                    f"{name} stands in no measure{_alike(name, measured)}",
                    place=f"line {line}",
                    remedy="Measure it from two fixed points, or correct its name.",
                )


def _alike(name: str, measured: list[str]) -> str:
    alike = [other for other in measured if other.casefold() == name.casefold()]
    return f", but {alike[0]} does" if alike else ""
