"""Outlines of a drawing: SVG path data and transforms as steps of a path on paper."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import NamedTuple

from lawnmap.exports.pdf.document import ROUND, Step

NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
TOKEN = re.compile(rf"([A-Za-z])|({NUMBER.pattern})")
MOVE = re.compile(r"(\w+)\s*\(([^)]*)\)")
TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "Q": 4, "A": 7, "Z": 0}


class Fit(NamedTuple):
    """An affine transform: x' = a x + c y + e, y' = b x + d y + f."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return where a place falls."""
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    def of(self, inner: Fit) -> Fit:
        """Return the transform that does `inner` first, and this one after it."""
        e, f = self.at(inner.e, inner.f)
        return Fit(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            e,
            f,
        )

    @property
    def scale(self) -> float:
        """Return by how much lengths grow, on the mean of both ways."""
        return math.sqrt(abs(self.a * self.d - self.b * self.c))

    def steps(self, steps: list[Step]) -> list[Step]:
        """Return a path transformed."""
        return [(letter, tuple(self._all(places))) for letter, places in steps]

    def _all(self, places: tuple[float, ...]) -> Iterator[float]:
        for place in range(0, len(places), 2):
            yield from self.at(places[place], places[place + 1])


def transform(text: str) -> Fit:
    """Return the transform that an attribute says."""
    made = Fit()
    for name, inside in MOVE.findall(text):
        values = numbers(inside)
        if name == "translate":
            made = made.of(Fit(e=values[0], f=values[1] if len(values) > 1 else 0.0))
        elif name == "scale":
            made = made.of(Fit(a=values[0], d=values[-1]))
        elif name == "rotate":
            x, y = values[1:3] if len(values) > 1 else (0.0, 0.0)
            turn = math.radians(values[0])
            cos, sin = math.cos(turn), math.sin(turn)
            made = made.of(Fit(e=x, f=y)).of(Fit(cos, sin, -sin, cos)).of(Fit(e=-x, f=-y))
        elif name == "matrix":
            made = made.of(Fit(*values))
    return made


def numbers(text: str) -> list[float]:
    """Return the numbers in a text."""
    return [float(each) for each in NUMBER.findall(text)]


def path(data: str) -> list[Step]:
    """Return the steps that path data says; an arc is drawn as the line between its ends.

    Examples
    --------
    >>> path("M1 2h3v4z")
    [('m', (1.0, 2.0)), ('l', (4.0, 2.0)), ('l', (4.0, 6.0)), ('h', ())]
    """
    steps: list[Step] = []
    here = start = (0.0, 0.0)
    for letter, values in _commands(data):
        x, y = here if letter.islower() else (0.0, 0.0)
        kind = letter.upper()
        if kind == "Z":
            steps.append(("h", ()))
            here = start
            continue
        if kind == "H":
            here = (x + values[0], here[1])
        elif kind == "V":
            here = (here[0], y + values[0])
        else:
            moved = [value + (y if place % 2 else x) for place, value in enumerate(values)]
            if kind == "A":
                moved = [values[5] + x, values[6] + y]
            bend, here = _bend(kind, here, moved)
            if bend:
                steps.append(("c", bend))
                continue
        if kind == "M":
            start = here
        steps.append(("m" if kind == "M" else "l", here))
    return steps


def ellipse(x: float, y: float, wide: float, high: float) -> list[Step]:
    """Return the path round a middle, from its two half axes."""
    u, v = wide * ROUND, high * ROUND
    return [
        ("m", (x + wide, y)),
        ("c", (x + wide, y + v, x + u, y + high, x, y + high)),
        ("c", (x - u, y + high, x - wide, y + v, x - wide, y)),
        ("c", (x - wide, y - v, x - u, y - high, x, y - high)),
        ("c", (x + u, y - high, x + wide, y - v, x + wide, y)),
        ("h", ()),
    ]


def _bend(
    kind: str, here: tuple[float, float], moved: list[float]
) -> tuple[tuple[float, ...], tuple[float, float]]:
    """Return the handles and end of a curve, no handles for what is straight, and where it ends."""
    end = (moved[-2], moved[-1])
    if kind == "C":
        return tuple(moved), end
    if kind == "Q":
        x, y = moved[0], moved[1]
        near = (here[0] + 2 / 3 * (x - here[0]), here[1] + 2 / 3 * (y - here[1]))
        far = (end[0] + 2 / 3 * (x - end[0]), end[1] + 2 / 3 * (y - end[1]))
        return (*near, *far, *end), end
    return (), end


def _commands(data: str) -> Iterator[tuple[str, list[float]]]:
    """Yield each command with its numbers; one that is followed by more is said again."""
    letter = ""
    values: list[float] = []
    for found in TOKEN.finditer(data):
        if found[1]:
            letter, values = found[1], []
            if letter in "Zz":
                yield letter, []
            continue
        values.append(float(found[2]))
        if letter and len(values) == TAKES.get(letter.upper(), 0):
            yield letter, values
            values = []
            letter = {"M": "L", "m": "l"}.get(letter, letter)
