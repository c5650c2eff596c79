"""Letters of features on a still drawing: each beside its place where a number has that already."""

from __future__ import annotations

from collections.abc import Sequence

from lawnmap.exports.drawing import symbols
from lawnmap.pages.escape import Html, join, tag

SIZE = 20  # side of a letter's box [units of the drawing]
ASIDE = ((0, 0), (0, 22), (0, -22), (26, 0), (-26, 0), (0, 40), (0, -40))  # as marks.js has them
DOT = 2.2  # radius of the true place of a letter that stands beside it [units]

Box = tuple[float, float, float, float]


def box(x: float, y: float, half: float, tall: float) -> Box:
    """Return the box about a place, by half of its width and of its height."""
    return x - half, y - tall, x + half, y + tall


def letters(
    places: Sequence[tuple[str, float, float]], numbers: Sequence[Box], window: Box
) -> Html:
    """Return the letters, none on a number or on another letter while there is room beside it.

    Parameters
    ----------
    places : sequence of (kind, x, y)
        In the order in which they are drawn.
    numbers : sequence of Box
        What stands on the drawing already.
    window : Box
        What is seen of the drawing; no letter is moved out of it.
    """
    taken = list(numbers)
    drawn = []
    for kind, x, y in places:
        to_x, to_y = _beside(x, y, taken, window)
        taken.append(box(to_x, to_y, SIZE / 2, SIZE / 2))
        if (to_x, to_y) != (x, y):
            drawn.append(_stem(kind, x, y, to_x, to_y))
        drawn.append(symbols.mark(kind, to_x, to_y, size=SIZE))
    return join(drawn)


def _beside(x: float, y: float, taken: Sequence[Box], window: Box) -> tuple[float, float]:
    """Return the nearest free place of a letter that is seen whole; its own when there is none."""
    for right, down in ASIDE:
        own = box(x + right, y + down, SIZE / 2, SIZE / 2)
        if all(_apart(own, each) for each in taken) and (not (right or down) or _in(own, window)):
            return x + right, y + down
    return x, y


def _in(own: Box, window: Box) -> bool:
    return (
        own[0] >= window[0] and own[1] >= window[1] and own[2] <= window[2] and own[3] <= window[3]
    )


def _apart(one: Box, other: Box) -> bool:
    return one[0] > other[2] or other[0] > one[2] or one[1] > other[3] or other[1] > one[3]


def _stem(kind: str, x: float, y: float, to_x: float, to_y: float) -> Html:
    """Return the line from a letter to its true place."""
    ink = symbols.look(kind).stroke
    line = tag("path", d=f"M{x:.1f} {y:.1f}L{to_x:.1f} {to_y:.1f}", stroke=ink, stroke_width=1.5)
    return join([line, tag("circle", cx=f"{x:.1f}", cy=f"{y:.1f}", r=DOT, fill=ink)])
