"""How good the days of a large job are, and how soon they are there.

Run from a checkout: ``python docs/benchmarks/dates.py ZONES SEEDS``. Each job is twelve weeks of
iron, blades and seed on so many zones, two hired machines, two people, a dozen days of rain. The
figures are processor time, visit days, the bound printed with them, and hard rules broken by the
second checker.
"""

from __future__ import annotations

import datetime as dt
import random
import statistics
import sys
import time

from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import dates
from lawnmap.logistics.work import Closed, Crew, Machine, Step, Wait, Work

FIRST = dt.date(2026, 8, 3)
WEEKS = 12
FILLED = 0.68  # share of all hours that the work takes


def main(zones: int, seeds: int) -> None:
    """Print a line a job and the medians."""
    gaps, times = [], []
    for seed in range(seeds):
        work = estate(seed, zones)
        begun = time.process_time()
        found = dates(work)
        times.append(time.process_time() - begun)
        gaps.append(len(found.visits) / found.bound.visits)
        print(
            f"seed {seed}: {times[-1]:.2f} s, {len(found.visits)} visit days, at least "
            f"{found.bound.visits}, ratio {gaps[-1]:.3f}; {len(found.undated)} without a day; "
            f"{len(broken(work, found))} hard rules broken"
        )
    print(
        f"median {statistics.median(times):.2f} s, most {max(times):.2f} s; "
        f"median ratio {statistics.median(gaps):.3f}, most {max(gaps):.3f}"
    )


def estate(seed: int, zones: int) -> Work:
    """Return a job that fills a share of the hours there are."""
    source = random.Random(seed)  # noqa: S311 - the same job again, no secret
    hours = [
        (source.uniform(0.1, 0.4), source.uniform(0.3, 2), source.uniform(0.1, 0.5))
        for _ in range(zones)
    ]
    scale = FILLED * WEEKS * 5 * 16 / sum(map(sum, hours))
    rain = [FIRST + dt.timedelta(days=source.randrange(WEEKS * 7)) for _ in range(WEEKS)]
    steps: list[Step] = []
    for number, (iron, blades, seed_h) in enumerate(hours):
        zone, machine = f"z{number:03d}", f"scarifier_{number % 2}"
        steps += [
            Step(f"{zone}.1", zone, "iron", iron * scale),
            Step(
                f"{zone}.2", zone, "scarifying", blades * scale, machine,
                after=(Wait(f"{zone}.1", 14, 28),),
            ),
            Step(f"{zone}.3", zone, "seed", seed_h * scale, after=(Wait(f"{zone}.2", 0, 7),)),
        ]  # fmt: skip
    return Work(
        tuple(steps),
        FIRST,
        FIRST + dt.timedelta(days=WEEKS * 7 - 1),
        Crew(2, 8),
        {f"scarifier_{number}": Machine(1, 8, hired=True) for number in range(2)},
        tuple(Closed(day, day, "rain") for day in rain),
        frozenset(range(5)),
    )


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
