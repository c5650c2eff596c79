"""How good the days of a large job, or of many sites, are, and how soon they are there.

Run from a checkout: ``python docs/benchmarks/dates.py ZONES SEEDS``. Each job is twelve weeks of
iron, blades and seed on so many zones, two hired machines, two people, a dozen days of rain. The
figures are processor time, visit days, the bound printed with them, and hard rules broken by the
second checker.

Or ``python docs/benchmarks/dates.py sites SITES …``: gardens of one to five zones with eight steps
each and their own closed days, of one depot whose people and machines grow with their number. The
peer is each garden dated by itself, as if it had all people and machines; medians of five runs, the
two taking turns. The exponent is that of the time, from the first number of sites to the last.
"""

from __future__ import annotations

import datetime as dt
import math
import random
import statistics
import sys
import time

from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import dates
from lawnmap.logistics.work import Closed, Crew, Machine, Step, Wait, Window, Work
from lawnmap.processing.days.across import Across, across
from lawnmap.processing.days.finding import found
from lawnmap.processing.days.prepared import Prepared

FIRST = dt.date(2026, 8, 3)
WEEKS = 12
FILLED = 0.68  # share of all hours that the work takes
RUNS = 5
SITES_A_CREW = 63  # that keep two people, a scarifier and a corer busy
DAYS = 364
# Operation, hours on a zone of middle size, machine, least and most days after the step before.
GARDEN = (
    ("mowing", 0.25, None, 0, None),
    ("iron", 0.12, None, 0, 2),
    ("raking", 0.5, "scarifier", 14, 28),
    ("clearing", 0.4, None, 0, 0),
    ("aerating", 0.5, "corer", 0, None),
    ("seed", 0.2, None, 0, 7),
    ("feeding", 0.1, None, 0, 14),
    ("first_cut", 0.3, None, 21, None),
)


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


def of_sites(numbers: list[int]) -> None:
    """Print a line for each number of sites, and the exponent of the time."""
    taken: list[float] = []
    for number in numbers:
        gardens = [garden(each, number) for each in range(number)]
        together, alone = [], []
        for _ in range(RUNS):
            begun = time.process_time()
            by_themselves = [found(each.work).schedule for each in gardens]
            alone.append(time.process_time() - begun)
            begun = time.process_time()
            days = across(gardens)
            together.append(time.process_time() - begun)
        taken.append(statistics.median(together))
        _print(number, gardens, days, taken[-1] / statistics.median(alone))
        apart = sum(len(each.visits) for each in by_themselves)
        print(f"  {taken[-1]:.2f} s; by themselves {apart} visit days")
    if len(numbers) > 1:
        exponent = math.log(taken[-1] / taken[0]) / math.log(numbers[-1] / numbers[0])
        print(f"exponent {exponent:.2f}")


def _print(number: int, gardens: list[Prepared], days: Across | None, ratio: float) -> None:
    if days is None:
        return
    steps = sum(len(each.work.steps) for each in gardens)
    visits, bound = len(days.schedule.visits), days.schedule.bound.visits
    print(
        f"{number} sites, {steps} steps: time {ratio:.2f} of the peer's; {visits} visit days, at "
        f"least {bound}, ratio {visits / bound:.3f}; {int(days.sites['undated'].sum())} steps "
        f"without a day; {len(broken(days.work, days.schedule))} hard rules broken"
    )


def garden(number: int, sites: int) -> Prepared:
    """Return an invented garden, one of so many."""
    source = random.Random(number)  # noqa: S311 - the same garden again, no secret
    seasons = tuple(
        Window(FIRST + dt.timedelta(days=low), FIRST + dt.timedelta(days=high))
        for low, high in ((0, 89), (224, 270), (329, DAYS))
    )
    steps: list[Step] = []
    for zone in range(1, source.randint(1, 5) + 1):
        size, before = source.uniform(0.3, 1.8), ""
        for operation, hours, machine, least, most in GARDEN:
            own = f"z{zone} {operation} 1"
            after = (Wait(before, least, most),) if before else ()
            windows = seasons if before else ()
            steps.append(Step(own, f"z{zone}", operation, hours * size, machine, 1, after, windows))
            before = own
    away = [FIRST + dt.timedelta(days=source.randrange(DAYS - 30)) for _ in range(2)]
    crews = math.ceil(sites / SITES_A_CREW)
    work = Work(
        tuple(steps),
        FIRST,
        FIRST + dt.timedelta(days=DAYS),
        Crew(2 * crews, 8),
        {"scarifier": Machine(crews, 7), "corer": Machine(crews, 6, hired=True)},
        tuple(Closed(day, day + dt.timedelta(days=3), "away") for day in away),
        frozenset(range(5) if source.random() < FILLED else (0, 2, 4)),
    )
    return Prepared(f"garden {number:05d}", work)


if __name__ == "__main__":
    if sys.argv[1] == "sites":
        of_sites([int(each) for each in sys.argv[2:]])
    else:
        main(int(sys.argv[1]), int(sys.argv[2]))
