"""Write where four marks of the invented garden are in its plans and on the earth: control points.

Run it from the top of the source tree: ``python sample_geo/plans/make_control.py``. The places on
the earth are measured to a few centimetres; ``control_slip.csv`` has one of them mistyped, and
``control_three.csv`` lacks one. ``drawing_control.csv`` has them in the millimetres of the drawing.
``outlines.csv`` is the plan: zones in the garden's metres.
"""

from __future__ import annotations

import csv
import random
import sys
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from garden import ANCHOR, CONTROL, ZONES, turned

from lawnmap.geometry.frame import Frame

HERE = Path(__file__).parent
SIGMA_M, SEED = 0.03, 20_270_307
SLIP = (2, 4.0)  # which mark is mistyped, and how many metres too far north
HEADER = ["name", "x", "y", "lon", "lat"]


def rows(slip: bool = False) -> list[list[Any]]:  # noqa: FBT001, FBT002 - one sheet or the other
    """Return the sheet: name, x and y in the garden, longitude and latitude."""
    chance = random.Random(SEED)  # noqa: S311 - errors of measuring
    metres = np.array([turned(*point) for point in CONTROL.values()])
    metres += [[chance.gauss(0, SIGMA_M) for _ in range(2)] for _ in CONTROL]
    if slip:
        metres[SLIP[0], 1] += SLIP[1]
    lonlat = Frame(*ANCHOR).to_lonlat(metres).tolist()
    return [
        [name, *point, f"{lon:.8f}", f"{lat:.8f}"]
        for (name, point), (lon, lat) in zip(CONTROL.items(), lonlat, strict=True)
    ]


def main() -> None:
    """Write every sheet."""
    _write("control.csv", rows())
    _write("control_slip.csv", rows(slip=True))
    _write("control_three.csv", rows()[:3])
    in_mm = [[name, 1000 * x, 1000 * y, *earth] for name, x, y, *earth in rows()]
    _write("drawing_control.csv", in_mm)
    outlines = [
        [name, place, *point] for name, ring in ZONES.items() for place, point in enumerate(ring, 1)
    ]
    _write("outlines.csv", outlines, ["name", "seq", "x", "y"])


def _write(name: str, found: list[list[object]], header: list[str] = HEADER) -> None:
    with (HERE / name).open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream, lineterminator="\n").writerows([header, *found])


if __name__ == "__main__":
    main()
