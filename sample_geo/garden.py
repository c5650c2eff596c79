"""An invented small garden, the same for every kind of plan in `plans/`.

Metres east and north of a corner of the house; nothing of it exists. Each maker in `plans/` writes
it as one kind of plan (a drawing, a picture, a tape survey, a walk, …), so that reading it back can
be compared with what is true here.
"""

from __future__ import annotations

import math

ANCHOR = (1.9, 53.4)  # longitude, latitude of (0, 0): open water, on purpose
TURN_DEG = 17.0  # the garden's x axis lies this much anticlockwise of east

Ring = list[tuple[float, float]]

ZONES: dict[str, Ring] = {
    "Front lawn": [
        (-2.0, -14.0),
        (11.0, -14.0),
        (11.0, -3.0),
        (4.0, -3.0),
        (4.0, -5.5),
        (-2.0, -5.5),
    ],
    "Back lawn": [
        (-4.0, 12.0),
        (16.0, 12.0),
        (18.5, 21.0),
        (14.0, 30.0),
        (2.0, 32.0),
        (-5.0, 24.0),
    ],
    "Side strip": [(14.0, -12.0), (17.0, -12.0), (17.5, 8.0), (14.5, 8.0)],
}
BED: Ring = [(3.0, 20.0), (7.0, 19.0), (8.0, 22.5), (4.0, 24.0)]  # in the back lawn
HOUSE: Ring = [(0.0, 0.0), (12.0, 0.0), (12.0, 9.0), (0.0, 9.0)]
PATH: Ring = [(12.3, -14.0), (13.5, -14.0), (13.5, 10.5), (12.3, 10.5)]
POND = (12.0, 26.0, 1.5)  # x, y, radius; in the back lawn
TREES = [(-3.0, 26.5, 7.5, 0.4), (17.8, 24.0, 5.0, 0.25)]  # x, y, height, diameter of the stem
CONTROL: dict[str, tuple[float, float]] = {  # four marks that can be found on the ground
    "gatepost": (18.5, -14.5),
    "house corner": (0.0, 0.0),
    "back wall": (18.0, 33.0),
    "shed corner": (-6.0, 30.0),
}


def area(ring: Ring) -> float:
    """Return the area of a ring by its coordinates [m²]."""
    pairs = zip(ring, ring[1:] + ring[:1], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2


def turned(x: float, y: float) -> tuple[float, float]:
    """Return metres true east and north of the anchor for a place in the garden."""
    turn = math.radians(TURN_DEG)
    return x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)
