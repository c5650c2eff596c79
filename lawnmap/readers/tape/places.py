"""First places of the points of a tape survey, one fixed from another, for the adjustment."""

from __future__ import annotations

import math
from collections import defaultdict
from itertools import combinations
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.errors import InputRefused
from lawnmap.geometry.offsets import place
from lawnmap.geometry.ties import Apart, Meeting, left_of, meet
from lawnmap.readers.tape import reasons
from lawnmap.readers.tape.reasons import Why
from lawnmap.readers.tape.sheet import Line, Offset, Sheet, Side

Floats = npt.NDArray[np.float64]

MOST_SEEDS = 12  # lines to begin from
MOST_TIES = 8  # of one point that are tried in pairs
STRONG = 0.5  # sine of the angle at which two tapes cross: 30° to 150°
IN_LINE = 0.08  # the same under 5°: the place across the line is as good as free
DECISIVE_M = 0.2  # how much better a third tie must fit on one side than on the other


class Way(NamedTuple):
    """A place found for a point, and how well: the sine of the angle at which tapes cross."""

    quality: float
    xy: Floats


class First(NamedTuple):
    """First places [m] of all points, and the line that began it."""

    xy: dict[str, Floats]
    seed: Line


class _Index:
    """The sheet by point: what may fix it, and what it may help to fix."""

    def __init__(self, sheet: Sheet) -> None:
        self.points = sheet.points
        self.lines: dict[str, list[Line]] = defaultdict(list)
        self.offsets: dict[str, list[Offset]] = defaultdict(list)
        self.sides: dict[str, list[Side]] = defaultdict(list)
        self.near: dict[str, set[str]] = defaultdict(set)
        for line in sheet.lines:
            self.lines[line.start].append(line)
            self.lines[line.end].append(line)
            self.near[line.start].add(line.end)
            self.near[line.end].add(line.start)
        for offset in sheet.offsets:
            self.offsets[offset.point].append(offset)
            self.near[offset.start].add(offset.point)
            self.near[offset.end].add(offset.point)
        for side in sheet.sides:
            self.sides[side.point].append(side)
            self.near[side.start].add(side.point)
            self.near[side.end].add(side.point)


def first_places(sheet: Sheet) -> First:
    """Return a place for every point, good enough to begin the adjustment from.

    The first line lies along its bearing, or due east when it has none; bearings of other lines
    turn the whole once both their ends have a place.

    Raises
    ------
    InputRefused
        With the point, when the measures do not fix every one: which and what to measure.
    """
    index = _Index(sheet)
    grown: list[_Growth] = []
    for seed in _seeds(sheet):
        growth = _Growth(index, seed)
        growth.grow()
        if len(growth.places) == len(index.points):
            return First(growth.turned(), seed)
        grown.append(growth)
    raise max(grown, key=lambda each: len(each.places)).refusal()


def _seeds(sheet: Sheet) -> list[Line]:
    """Return lines to begin from: baselines, lines that sides are told of, then any."""
    told = {frozenset((side.start, side.end)) for side in sheet.sides}
    baselines = [line for line in sheet.lines if line.kind == "baseline"]
    of_sides = [line for line in sheet.lines if frozenset((line.start, line.end)) in told]
    once = {frozenset((line.start, line.end)): line for line in reversed(sheet.lines)}
    rest = list(reversed(once.values()))
    chosen: dict[frozenset[str], Line] = {}
    for line in (*baselines, *of_sides, *rest):
        chosen.setdefault(frozenset((line.start, line.end)), line)
    return list(chosen.values())[:MOST_SEEDS]


class _Growth:
    """Points placed one from another, beginning with one line."""

    def __init__(self, index: _Index, seed: Line) -> None:
        self.index = index
        towards = seed.bearing
        self.turn = None if towards is None else 0.0  # true bearing less that of this frame [rad]
        angle = math.pi / 2 if towards is None else math.radians(towards.degrees)
        self.places = {
            seed.start: np.zeros(2),
            seed.end: seed.length_m * np.array([math.sin(angle), math.cos(angle)]),
        }
        self.answers: dict[str, Way | Why] = {}

    def grow(self) -> None:
        """Place whatever can be, the well fixed before the poorly fixed."""
        changed = list(self.places)
        while changed:
            for point in self._asked(changed):
                self.answers[point] = self._answer(point)
            changed = self._place_ready()

    def turned(self) -> dict[str, Floats]:
        """Return the places turned so that bearings are from true north."""
        turn = self.turn or 0.0
        matrix = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
        return {point: matrix @ xy for point, xy in self.places.items()}

    def refusal(self) -> InputRefused:
        """Return what to say of the point that came nearest to having a place."""
        waiting = (point for point in self.index.points if point not in self.places)
        answers = ((point, self._answer(point)) for point in waiting)
        # Whatever could have a place has one by now.
        whys = [(point, why) for point, why in answers if isinstance(why, Why)]
        point, why = max(whys, key=lambda each: each[1].rank)
        return InputRefused(why.problem, place=f"point {point}", remedy=why.remedy)

    def _asked(self, changed: list[str]) -> list[str]:
        """Return the points whose answer may be another now, in the sheet's order."""
        near = set().union(*(self.index.near[point] for point in changed))
        if self._find_turn(changed):
            near = set(self.index.points)
        return [point for point in self.index.points if point in near and point not in self.places]

    def _find_turn(self, changed: list[str]) -> bool:
        """Find how the frame is turned from the first bearing between two placed points."""
        if self.turn is not None:
            return False
        for point in changed:
            for line in self.index.lines[point]:
                if line.bearing and line.start in self.places and line.end in self.places:
                    east, north = self.places[line.end] - self.places[line.start]
                    self.turn = math.radians(line.bearing.degrees) - math.atan2(east, north)
                    return True
        return False

    def _place_ready(self) -> list[str]:
        ready = {point: way for point, way in self.answers.items() if isinstance(way, Way)}
        if not ready:
            return []
        chosen = [point for point, way in ready.items() if way.quality >= STRONG]
        chosen = chosen or [max(ready, key=lambda point: ready[point].quality)]
        for point in chosen:
            self.places[point] = ready[point].xy
            del self.answers[point]
        return chosen

    def _answer(self, point: str) -> Way | Why:
        for offset in self.index.offsets[point]:
            if offset.start in self.places and offset.end in self.places:
                base = self.places[offset.start], self.places[offset.end]
                if not np.array_equal(*base):
                    return Way(1.0, place(*base, offset.along_m, offset.left_m))
        for line in self.index.lines[point]:
            other = line.end if line.start == point else line.start
            if line.bearing is not None and self.turn is not None and other in self.places:
                angle = math.radians(line.bearing.degrees) - self.turn
                step = line.length_m * np.array([math.sin(angle), math.cos(angle)])
                return Way(1.0, self.places[other] + (step if other == line.start else -step))
        return self._by_ties(point)

    def _by_ties(self, point: str) -> Way | Why:
        ties: dict[str, float] = {}
        for line in self.index.lines[point]:
            other = line.end if line.start == point else line.start
            if other in self.places:
                ties.setdefault(other, line.length_m)
        if len(ties) < 2:  # noqa: PLR2004 - two tapes fix a point
            return reasons.too_few(point, list(ties), list(self.places))
        found: list[tuple[float, tuple[str, str], Meeting]] = []
        apart: list[tuple[float, tuple[str, str], Apart]] = []
        for pair in combinations(list(ties)[:MOST_TIES], 2):
            here, there = (self.places[name] for name in pair)
            if np.array_equal(here, there):
                continue
            try:
                meeting = meet(here, there, ties[pair[0]], ties[pair[1]])
            except Apart as error:
                apart.append((error.gap_m, pair, error))
                continue
            found.append((math.sin(math.radians(meeting.crossing_deg)), pair, meeting))
        if not found:
            return reasons.do_not_meet(point, apart)
        quality, pair, meeting = max(found, key=lambda each: each[0])
        if quality < IN_LINE:
            return reasons.in_line(pair)
        others = {name: length for name, length in ties.items() if name not in pair}
        chosen = self._chosen(point, pair, meeting, others)
        return chosen if isinstance(chosen, Why) else Way(quality, chosen)

    def _chosen(
        self, point: str, pair: tuple[str, str], meeting: Meeting, others: dict[str, float]
    ) -> Floats | Why:
        """Return the one of two places that the stated sides, or else further ties, allow."""
        both = [meeting.left, meeting.right]
        stated = [xy for xy in both if self._as_stated(point, xy)]
        better = self._better(both, others)
        if len(stated) == 1 and (better is None or better is stated[0]):
            return stated[0]
        if len(stated) == 2 and better is not None:  # noqa: PLR2004 - sides tell nothing
            return better
        if len(stated) < 2:  # noqa: PLR2004 - sides contradict
            return reasons.not_as_stated(point)
        return reasons.either_side(point, pair)

    def _as_stated(self, point: str, xy: Floats) -> bool:
        return all(
            (left_of(self.places[side.start], self.places[side.end], xy) > 0) == side.left
            for side in self.index.sides[point]
            if side.start in self.places and side.end in self.places
        )

    def _better(self, both: list[Floats], others: dict[str, float]) -> Floats | None:
        """Return the place that further ties fit plainly better, or None."""
        if not others:
            return None
        off = [
            max(abs(math.dist(xy, self.places[name]) - length) for name, length in others.items())
            for xy in both
        ]
        good, bad = sorted(off)
        if bad - good < DECISIVE_M or bad < 2 * good:
            return None
        return both[off.index(good)]
