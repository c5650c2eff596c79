"""Write the invented garden as a tape survey: ``python sample_geo/plans/make_tape.py``.

Each length is the true one with a random error as a careful person's tape has, from a fixed seed,
so that the sheet is the same each time.
"""

from __future__ import annotations

import csv
import io
import math
import random
import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

import garden  # noqa: E402 - it lies beside this folder

SEED = 2027
TAPE_M, TAPE_SHARE, SQUARE_DEG = 0.02, 0.001, 2.0  # as lawnmap/readers/tape_survey.py takes them
HEADER = [
    "measure",
    "from",
    "to",
    "length",
    "along",
    "side",
    "bearing",
    "points",
    "zone",
    "feature",
    "note",
]

Place = tuple[float, float]


def _numbered(letter: str, ring: list[Place]) -> dict[str, Place]:
    return {f"{letter}{number}": place for number, place in enumerate(ring, 1)}


STRIP = garden.ZONES["Side strip"]
EDGE = [  # corners and three points between them on the far edge of the side strip
    (STRIP[1][0] + (STRIP[2][0] - STRIP[1][0]) * part, STRIP[1][1] + 20 * part)
    for part in (0, 0.25, 0.5, 0.75, 1)
]
POINTS: dict[str, Place] = {
    **_numbered("H", garden.HOUSE),
    **_numbered("F", garden.ZONES["Front lawn"]),
    **_numbered("B", garden.ZONES["Back lawn"]),
    **_numbered("K", garden.BED),
    **_numbered("T", [(x, y) for x, y, _, _ in garden.TREES]),
    "S1": STRIP[0],
    "S2": STRIP[3],
}
TIES = """H2 H3  H1 H3  H1 H4  H2 H4  H3 H4
H1 F1  H2 F1  H1 F2  H2 F2  H1 F3  H2 F3  H1 F4  H2 F4  H1 F5  H2 F5  H1 F6  H2 F6
F1 F2  F2 F3  F6 F1
H4 B1  H1 B1  H3 B1  H3 B2  H2 B2  H4 B2  H3 B3  H4 B3  H3 B4  H4 B4  H3 B5  H4 B5  H3 B6  H4 B6
B1 B2  B2 B3  B3 B4  B4 B5  B5 B6  B6 B1
B1 K1  B2 K1  B1 K2  B2 K2  B1 K3  B2 K3  B1 K4  B2 K4
B1 T1  B5 T1  B6 T1  B2 T2  B3 T2  B4 T2
H2 S1  H1 S1  F2 S1  H3 S2  H2 S2  B2 S2"""


def sheet(seed: int = SEED) -> str:
    """Return the whole sheet as CSV, with errors from `seed`."""
    chance = random.Random(seed)  # noqa: S311 - errors of a tape, no secret
    rows = [
        {"measure": "unit", "length": "m"},
        _line("baseline", "H1 H2", chance) | {"bearing": f"{90 - garden.TURN_DEG:g}"},
        {"measure": "left", "from": "H1", "to": "H2", "points": "H3 H4"},
        {"measure": "right", "from": "H1", "to": "H2", "points": "F1..F6 S1"},
        {"measure": "left", "from": "H4", "to": "H3", "points": "B1..B6"},
        {"measure": "right", "from": "H2", "to": "H3", "points": "S2"},
        {"measure": "left", "from": "B1", "to": "B2", "points": "K1..K4"},
    ]
    pairs = (pair for line in TIES.splitlines() for pair in line.split("  "))
    rows += [_line("tie", pair, chance) for pair in pairs]
    rows.append(_line("baseline", "S1 S2", chance))
    rows += [_offset(place, chance) for place in EDGE]
    rows += [
        _outline("F1..F6", "Front lawn"),
        _outline("B1..B6", "Back lawn"),
        _outline("S1 o1..o5 S2", "Side strip"),
        _outline("K1..K4", "Rose bed", "bed"),
        {"measure": "spot", "points": "T1", "zone": "Birch", "feature": "tree"},
        {"measure": "spot", "points": "T2", "zone": "Plum", "feature": "tree"},
    ]
    out = io.StringIO()
    writer = csv.DictWriter(out, HEADER, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _taped(metres: float, chance: random.Random) -> float:
    return metres + chance.gauss(0, math.hypot(TAPE_M, TAPE_SHARE * metres))


def _line(kind: str, pair: str, chance: random.Random) -> dict[str, str]:
    start, end = pair.split()
    length = _taped(math.dist(POINTS[start], POINTS[end]), chance)
    return {"measure": kind, "from": start, "to": end, "length": f"{length:.2f}"}


def _offset(place: Place, chance: random.Random) -> dict[str, str]:
    """Return a point of the far edge by its offset from the line S1 to S2."""
    start, end = POINTS["S1"], POINTS["S2"]
    length = math.dist(start, end)
    u = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    x, y = place[0] - start[0], place[1] - start[1]
    along, right = x * u[0] + y * u[1], x * u[1] - y * u[0]
    square = chance.gauss(0, math.radians(SQUARE_DEG)) * right
    return {
        "measure": "offset",
        "from": "S1",
        "to": "S2",
        "along": f"{max(_taped(along, chance) + square, 0):.2f}",
        "length": f"{_taped(right, chance):.2f}",
        "side": "right",
    }


def _outline(points: str, zone: str, feature: str = "zone") -> dict[str, str]:
    return {"measure": "outline", "points": points, "zone": zone, "feature": feature}


if __name__ == "__main__":
    (HERE / "tape.csv").write_text(sheet(), encoding="utf-8", newline="")
