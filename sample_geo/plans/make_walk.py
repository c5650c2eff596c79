"""Write the invented garden as walks round its lawns: ``python sample_geo/plans/make_walk.py``.

A fix a second at a walking pace, with an error that drifts as a receiver's does, from a fixed seed.
The front lawn ends short of where it began; the back lawn has a pause, a fix that jumps, and goes
on past its beginning; reception broke off half way round the side strip.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
import random
import sys
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import numpy as np

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

import garden  # noqa: E402 - it lies beside this folder

from lawnmap.geometry.frame import Frame  # noqa: E402 - after the path

SEED = 2059
ERROR_M, FADES_S = 1.2, 45.0  # one standard error in each direction; how long it lasts
PACE_M_S = 1.1
START = dt.datetime(2027, 3, 6, 9, 30, tzinfo=dt.UTC)
SHORT_M, PAST_M = 2.5, 4.0  # how far the front lawn ends short, and the back lawn goes on
PAUSE_S, PAUSE_AT, JUMP_AT, JUMP_M = 30, 25, 48, 24.0
BREAK_AT, BREAK_S = 22, 6

Place = tuple[float, float]


class Fix(NamedTuple):
    """Where the receiver says that it is, in metres, and when."""

    x: float
    y: float
    time: dt.datetime


class Drift:
    """An error that changes slowly: a first-order Gauss-Markov process a second at a time."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)  # noqa: S311 - errors of a receiver, no secret
        self.error = [self.chance.gauss(0, ERROR_M) for _ in range(2)]

    def next(self) -> list[float]:
        """Return the error a second later."""
        kept = math.exp(-1 / FADES_S)
        new = ERROR_M * math.sqrt(1 - kept * kept)
        self.error = [kept * each + self.chance.gauss(0, new) for each in self.error]
        return self.error


def paced(ring: garden.Ring, length: float) -> list[Place]:
    """Return where a walker round a ring is each second, until he has walked so far."""
    corners = [*ring, *ring[:2]]
    places: list[Place] = []
    walked, passed = 0.0, 0.0
    for one, other in pairwise(corners):
        side = math.dist(one, other)
        while walked <= min(passed + side, length):
            part = (walked - passed) / side
            x = one[0] + part * (other[0] - one[0])
            places.append((x, one[1] + part * (other[1] - one[1])))
            walked += PACE_M_S
        passed += side
    return places


def fixes(places: list[Place], start: dt.datetime, drift: Drift) -> list[Fix]:
    """Return the fixes of a walk, a second apart."""
    found = []
    for second, place in enumerate(places):
        x, y = garden.turned(*place)
        east, north = drift.next()
        found.append(Fix(x + east, y + north, start + dt.timedelta(seconds=second)))
    return found


def walks(seed: int = SEED) -> dict[str, list[list[Fix]]]:
    """Return the segments of the walk round each lawn, with errors from `seed`."""
    drift = Drift(seed)
    names = list(garden.ZONES)
    starts = {name: START + dt.timedelta(minutes=10 * at) for at, name in enumerate(names)}
    front, back, side = (paced(garden.ZONES[name], _length(name)) for name in names)
    back[PAUSE_AT:PAUSE_AT] = [back[PAUSE_AT]] * PAUSE_S
    walk = {
        name: fixes(places, starts[name], drift)
        for name, places in zip(names, (front, back, side), strict=True)
    }
    jump = JUMP_AT + PAUSE_S
    fix = walk["Back lawn"][jump]
    walk["Back lawn"][jump] = Fix(fix.x + JUMP_M, fix.y, fix.time)
    strip = walk["Side strip"]
    return {
        "Front lawn": [walk["Front lawn"]],
        "Back lawn": [walk["Back lawn"]],
        "Side strip": [strip[:BREAK_AT], strip[BREAK_AT + BREAK_S :]],
    }


def _length(name: str) -> float:
    ring = garden.ZONES[name]
    around = sum(math.dist(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True))
    return around + {"Front lawn": -SHORT_M, "Back lawn": PAST_M}.get(name, -PACE_M_S)


def _rows(segment: list[Fix]) -> list[tuple[str, str, str]]:
    """Return longitude, latitude and time of each fix, as written."""
    frame = Frame(*garden.ANCHOR)
    lonlat = frame.to_lonlat(np.array([[fix.x, fix.y] for fix in segment]))
    times = (fix.time.strftime("%Y-%m-%dT%H:%M:%SZ") for fix in segment)
    return [(f"{x:.8f}", f"{y:.8f}", time) for (x, y), time in zip(lonlat, times, strict=True)]


def gpx(version: str, seed: int = SEED) -> str:
    """Return the walks as GPX 1.0 or 1.1."""
    space = f"http://www.topografix.com/GPX/{version.replace('.', '/')}"
    tracks = []
    for name, segments in walks(seed).items():
        parts = [
            "".join(
                f'<trkpt lat="{y}" lon="{x}"><time>{time}</time></trkpt>\n'
                for x, y, time in _rows(segment)
            )
            for segment in segments
        ]
        body = "".join(f"<trkseg>\n{part}</trkseg>\n" for part in parts)
        tracks.append(f"<trk><name>{name}</name>\n{body}</trk>\n")
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<gpx version="{version}" creator="sample_geo" xmlns="{space}">\n{"".join(tracks)}</gpx>\n'
    )


def table(seed: int = SEED) -> str:
    """Return the walks as CSV, a fix a row; a table has no segments."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["name", "seq", "lon", "lat", "time"])
    for name, segments in walks(seed).items():
        rows = [row for segment in segments for row in _rows(segment)]
        writer.writerows([name, seq, *row] for seq, row in enumerate(rows, 1))
    return out.getvalue()


def main() -> None:
    """Write every file."""
    for name, text in (("walk.gpx", gpx("1.1")), ("walk10.gpx", gpx("1.0")), ("walk.csv", table())):
        (HERE / name).write_text(text, encoding="utf-8", newline="")


if __name__ == "__main__":
    main()
