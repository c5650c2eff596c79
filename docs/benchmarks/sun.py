"""How soon the hours of sun of a garden are there, against its shadows drawn one by one.

Run from a checkout: ``PYTHONPATH=. python docs/benchmarks/sun.py EVERY``. The garden has 30 things
(42 prisms: two in five are trees, a crown and a stem each) and a lawn of 1,500 m² in a grid of half
a metre; the sun is that of 183 days from the spring equinox in steps of ten minutes. The slow way
is that of the tests, and draws every EVERYth of those steps: 1 for all, which takes a minute. Times
are of the processor.
"""

from __future__ import annotations

import math
import resource
import statistics
import sys
import time
import tracemalloc
from collections.abc import Callable

import numpy as np

from lawnmap.geometry.sunlight.hours import sun_hours
from lawnmap.geometry.sunlight.obstacle import Obstacle
from lawnmap.geometry.sunlight.path import SunPath, fold
from lawnmap.geometry.sunlight.points import Points
from tests.geometry.sunlight.garden import LATITUDE_DEG, garden, grid
from tests.geometry.sunlight.shadows import slow_hours
from tests.geometry.sunlight.sky import season

AREA_M2, THINGS, DAYS, MINUTES = 1500, 30, 183, 10
RUNS = 5
TIMES = (1, 2, 4, 8)  # as much of area, things or days


def main(every: int) -> None:
    """Print times, their ratio, the difference of the hours, memory, and growth."""
    points, things, path = grid(AREA_M2), garden(1, THINGS), season(LATITUDE_DEG, DAYS, MINUTES)
    quick = quick_s(points, path, things)
    up = path.elevation_deg > 0
    drawn = SunPath(*(column[up][every // 2 :: every] for column in path))
    begun = time.process_time()
    slow = slow_hours(points, drawn, things)
    drawing = (time.process_time() - begun) * up.sum() / len(drawn.hours)
    print(
        f"{len(points.xyz)} points, {THINGS} things, {DAYS} days: {quick:.2f} s; shadows drawn "
        f"every {MINUTES} minutes {drawing:.1f} s (from {len(drawn.hours)} of {up.sum()} steps): "
        f"{drawing / quick:.0f} times; every minute {drawing * MINUTES / quick:.0f} times"
    )
    if every == 1:
        apart = (sun_hours(points, fold(path), things) - slow) / DAYS
        rms, most = np.sqrt(np.mean(apart**2)), abs(apart).max()
        print(f"hours a day differ by {rms:.3f} RMS, {most:.3f} at most")
    tracemalloc.start()
    sun_hours(points, fold(path), things)
    print(
        f"memory at most {tracemalloc.get_traced_memory()[1] / 1e6:.0f} MB more than before, "
        f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3:.0f} MB in all"
    )
    tracemalloc.stop()
    growth("area", lambda n: (grid(AREA_M2 / 2 * n), things, path))
    growth("things", lambda n: (points, garden(1, THINGS // 2 * n), path))
    growth("days", lambda n: (points, things, season(LATITUDE_DEG, DAYS // 2 * n, MINUTES)))


def quick_s(points: Points, path: SunPath, things: list[Obstacle]) -> float:
    """Return the median time of folding the path and working out the hours [s]."""
    taken = []
    for _ in range(RUNS):
        begun = time.process_time()
        sun_hours(points, fold(path), things)
        taken.append(time.process_time() - begun)
    return statistics.median(taken)


def growth(what: str, made: Callable[[int], tuple[Points, list[Obstacle], SunPath]]) -> None:
    """Print times, and the exponent of their growth over all and over the last doubling."""
    taken = []
    for times in TIMES:
        points, things, path = made(times)
        taken.append(quick_s(points, path, things))
    whole = math.log(taken[-1] / taken[0]) / math.log(TIMES[-1] / TIMES[0])
    last = math.log2(taken[-1] / taken[-2])
    seconds = ", ".join(f"{each:.2f}" for each in taken)
    print(f"{what} times 1, 2, 4, 8: {seconds} s; exponent {whole:.2f}, last doubling {last:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]))
